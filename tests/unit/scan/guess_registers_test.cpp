// Which registers hold temperatures: register images as devices have them. The float words of 205.3 in the
// four orders are those of IEEE 754 (struct.pack of Python 3 gives 43 4D 4C CD).
#include <doctest/doctest.h>

#include <bit>

#include "scan/guess_registers.hpp"

using namespace drumwatch;

namespace {

using Words = std::vector<std::uint16_t>;

RegisterImage image(std::uint16_t at, const Words& first, const Words& second,
                    RegisterTable table = RegisterTable::input) {
    RegisterImage made;
    made.table = table;
    for (std::size_t i = 0; i < first.size(); ++i) {
        made.first[static_cast<std::uint16_t>(at + i)] = first[i];
        made.second[static_cast<std::uint16_t>(at + i)] = second[i];
    }
    return made;
}

Words floats(const std::vector<float>& values, WordOrder order) {
    Words words;
    for (const float value : values) {
        const auto bits = std::bit_cast<std::uint32_t>(value);
        std::uint16_t high = static_cast<std::uint16_t>(bits >> 16U);
        std::uint16_t low = static_cast<std::uint16_t>(bits & 0xFFFFU);
        const auto swap = [](std::uint16_t word) {
            return static_cast<std::uint16_t>(word << 8U | word >> 8U);
        };
        if (order == WordOrder::badc || order == WordOrder::dcba) {
            high = swap(high);
            low = swap(low);
        }
        const bool low_first = order == WordOrder::cdab || order == WordOrder::dcba;
        words.push_back(low_first ? low : high);
        words.push_back(low_first ? high : low);
    }
    return words;
}

}  // namespace

TEST_CASE("tenths of a degree in 16 bits are the simplest explanation") {
    const auto guesses = guess_registers({image(0, {2053, 2154, 231}, {2055, 2150, 231})});
    REQUIRE(guesses.size() == 3);
    CHECK(guesses[0].address == 0);
    CHECK(guesses[0].form.type == DataType::int16);
    CHECK(guesses[0].form.scale == 0.1);
    CHECK(guesses[0].celsius == doctest::Approx(205.5));
    CHECK(guesses[0].moved);
    CHECK(guesses[1].address == 1);
    CHECK(guesses[2].celsius == doctest::Approx(23.1));
    CHECK(!guesses[2].moved);
    CHECK(is_likely(guesses[2]));
    // 231 may as well be whole degrees: a person is told.
    REQUIRE(!guesses[2].others.empty());
    CHECK(guesses[2].others[0].celsius == doctest::Approx(231));
}

TEST_CASE("a float is found in each of the four word orders, where it begins") {
    for (const WordOrder order : {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba}) {
        const auto guesses = guess_registers(
            {image(100, floats({205.3F, 187.62F, 24.9F}, order), floats({205.9F, 187.1F, 24.95F}, order))});
        CAPTURE(static_cast<int>(order));
        REQUIRE(guesses.size() >= 3);
        double sum = 0;
        for (std::size_t i = 0; i < 3; ++i) {
            CHECK(guesses[i].form.type == DataType::float32);
            CHECK(guesses[i].form.order == order);
            CHECK(guesses[i].address % 2 == 0);
            sum += guesses[i].celsius;
        }
        CHECK(sum == doctest::Approx(205.9 + 187.1 + 24.95));
    }
}

TEST_CASE("nothing is a constant 0, a sequence, a fill pattern or a leap") {
    CHECK(guess_registers({image(0, {0, 0, 0}, {0, 0, 0})}).empty());
    CHECK(guess_registers({image(0, {100, 101, 102, 103, 104}, {100, 101, 102, 103, 104})}).empty());
    CHECK(guess_registers({image(0, {1000, 2000, 3000, 4000}, {1000, 2000, 3000, 4000})}).empty());
    CHECK(guess_registers({image(0, {555, 555, 555, 555}, {555, 555, 555, 555})}).empty());
    for (const auto& leap : guess_registers({image(0, {2053}, {5000})}))
        CHECK(leap.form.scale == 0.01);  // 20.53 and 50.00 are too far apart as well
    CHECK(guess_registers({image(0, {2053}, {5000})}).empty());
    // But three probes beside a counter that runs are found.
    const auto found = guess_registers({image(0, {2053, 2054, 2055, 17}, {2054, 2054, 2057, 18})});
    CHECK(found.size() >= 3);
}

TEST_CASE("a setting comes after what moves and stands in no unedited configuration beside it") {
    const auto guesses =
        guess_registers({image(0, {2053}, {2054}), image(0, {500}, {500}, RegisterTable::holding)});
    REQUIRE(guesses.size() == 2);
    CHECK(guesses[0].table == RegisterTable::input);
    CHECK(is_likely(guesses[0]));
    CHECK(!is_likely(guesses[1]));
}

TEST_CASE("registers that are shown in both tables are one probe") {
    const auto guesses = guess_registers(
        {image(0, {2053, 2190}, {2054, 2191}), image(0, {2053, 2190}, {2054, 2191}, RegisterTable::holding)});
    CHECK(guesses.size() == 2);
}

TEST_CASE("a number that stands once more in another form is the same probe") {
    Words first{2053};
    Words second{2071};
    for (const std::uint16_t word : floats({205.3F}, WordOrder::abcd)) first.push_back(word);
    for (const std::uint16_t word : floats({207.1F}, WordOrder::abcd)) second.push_back(word);
    const auto guesses = guess_registers({image(1, first, second)});
    REQUIRE(guesses.size() == 2);
    CHECK(guesses[0].shown_before != guesses[1].shown_before);
}

TEST_CASE(
    "hotter than 600 degrees is believed where it is built as the others, and never taken for Fahrenheit") {
    const auto guesses = guess_registers({image(0, {2053, 7621}, {2054, 7600})});
    REQUIRE(guesses.size() == 2);
    CHECK(guesses[1].celsius == doctest::Approx(760));
    CHECK(!guesses[1].form.fahrenheit);
    // Alone, 760 is not plausible in degrees Celsius: 760 °F are 404.4 °C (exact by definition).
    const auto alone = guess_registers({image(0, {7621}, {7600})});
    REQUIRE(!alone.empty());
    CHECK(alone[0].form.fahrenheit);
    CHECK(alone[0].celsius == doctest::Approx(404.444).epsilon(0.00001));
}

TEST_CASE("a second read that failed takes nothing away") {
    RegisterImage once = image(0, {2053}, {2053});
    once.second.clear();
    const auto guesses = guess_registers({once});
    REQUIRE(guesses.size() == 1);
    CHECK(!guesses[0].moved);
}

TEST_CASE("a form in words") {
    CHECK(words(RegisterForm{DataType::int16, WordOrder::abcd, 0.1, false}) == "int16, scale 0.1, °C");
    CHECK(words(RegisterForm{DataType::float32, WordOrder::cdab, 1, true}) == "float32 CDAB, °F");
}
