// The product's coefficients, number by number, and its tolerance classes against the stored copies of their
// sources (README.md here).
#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <string>

#include "drivers/sensors/thermocouple_tables_base.hpp"
#include "drivers/sensors/thermocouple_tables_platinum.hpp"
#include "drivers/sensors/tolerance_class.hpp"
#include "support/csv_rows.hpp"

using namespace drumwatch;

namespace {

const std::string kData = DATA_DIR "/";

/// Type, low and high end, order: the number.
using Numbers = std::map<std::string, double>;

std::string key(char letter, double low, double high, std::size_t order) {
    return std::string(1, letter) + " " + std::to_string(low) + " " + std::to_string(high) + " " +
           std::to_string(order);
}

Numbers stored(const std::string& file) {
    Numbers numbers;
    for (const CsvRow& row : csv_rows(kData + file))
        numbers[key(row.at(0).at(0), std::stod(row.at(1)), std::stod(row.at(2)), std::stoul(row.at(3)))] =
            std::stod(row.at(4));
    return numbers;
}

template <typename Pieces>
void add(Numbers& numbers, char letter, const Pieces& pieces) {
    const auto one = [&](const auto& piece) {
        for (std::size_t i = 0; i < piece.coefficients.size(); ++i)
            numbers[key(letter, piece.low, piece.high, i)] = piece.coefficients[i];
    };
    std::apply([&](const auto&... piece) { (one(piece), ...); }, pieces);
}

template <typename... Type>
void add_types(Numbers& direct, Numbers& inverse) {
    (add(direct, Type::letter, Type::direct), ...);
    (add(inverse, Type::letter, Type::inverse), ...);
}

}  // namespace

TEST_CASE("every published coefficient is in the product with the same digits") {
    Numbers direct;
    Numbers inverse;
    add_types<TypeK, TypeJ, TypeT, TypeE, TypeN, TypeR, TypeS, TypeB>(direct, inverse);
    CHECK(direct == stored("its90_direct.csv"));
    CHECK(direct.size() == 161);
    CHECK(inverse == stored("its90_inverse.csv"));
    CHECK(inverse.size() == 188);
    const auto bump = csv_rows(kData + "its90_type_k_exponential.csv");
    CHECK(TypeK::bump.a0 == std::stod(bump.at(0).at(1)));
    CHECK(TypeK::bump.a1 == std::stod(bump.at(1).at(1)));
    CHECK(TypeK::bump.a2 == std::stod(bump.at(2).at(1)));
}

TEST_CASE("tolerance classes of thermocouples are those of IEC 60584-1") {
    const auto rows = csv_rows(kData + "tolerance.csv");
    CHECK(rows.size() == 14);
    for (const CsvRow& row : rows) {
        CAPTURE(row.at(0));
        CAPTURE(row.at(1));
        const char type = row.at(0).at(0);
        const int number = std::stoi(row.at(1));
        const double low = std::stod(row.at(2));
        const double high = std::stod(row.at(3));
        for (int i = 0; i <= 20; ++i) {
            const double celsius = low + (high - low) * i / 20;
            const auto tolerance = thermocouple_tolerance(type, number, celsius);
            REQUIRE(tolerance);
            CHECK(*tolerance == doctest::Approx(std::fmax(std::stod(row.at(4)),
                                                          std::stod(row.at(5)) * std::fabs(celsius))));
        }
        CHECK(!thermocouple_tolerance(type, number, low - 0.1));
        CHECK(!thermocouple_tolerance(type, number, high + 0.1));
    }
    CHECK(!thermocouple_tolerance('J', 3, 0));  // there is none
    // From memory of IEC 60584-1, no copy at hand.
    CHECK(*thermocouple_tolerance('R', 1, 1100) == 1.0);
    CHECK(*thermocouple_tolerance('S', 1, 1500) == doctest::Approx(2.2));
    CHECK(*thermocouple_tolerance('S', 2, 1000) == 2.5);
    CHECK(*thermocouple_tolerance('B', 2, 600) == 1.5);
    CHECK(*thermocouple_tolerance('B', 3, 1000) == 5.0);
    CHECK(!thermocouple_tolerance('B', 1, 1000));
    CHECK(!thermocouple_tolerance('R', 3, 1000));
    CHECK(!thermocouple_tolerance('K', 4, 100));
}
