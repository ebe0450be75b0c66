// `drumwatch convert` as a person and as a pipe run it. Values: NIST Monograph 175 and IEC 60751 by their
// stored copies (tests/reference).
#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "support/child_process.hpp"
#include "support/csv_rows.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;
using Json = nlohmann::json;

namespace {

constexpr auto kHang = 60s;  // only stops a hang
const std::string kReference = DRUMWATCH_REFERENCE "/";

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

Finished convert(std::vector<std::string> arguments, std::string_view input = {}) {
    std::vector<std::string> all{DRUMWATCH_DAEMON, "convert"};
    all.insert(all.end(), arguments.begin(), arguments.end());
    return run_program(all, kHang, input);
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

void check_wrong(std::vector<std::string> arguments, std::string_view sentence) {
    const Finished run = convert(std::move(arguments));
    CHECK(run.status == 2);
    CHECK(run.output.empty());
    CHECK_MESSAGE(has(run.errors, sentence), run.errors);
    CHECK(lines_of(run.errors).size() == 1);
}

}  // namespace

TEST_CASE("convert: one number, its unit and every tolerance class that holds there") {
    Finished run = convert({"--thermocouple", "K", "--millivolts", "8.138"});
    CHECK(run.status == 0);
    CHECK(run.errors.empty());
    auto lines = lines_of(run.output);
    REQUIRE(lines.size() == 2);
    CHECK(std::fabs(std::stod(lines[0]) - 200) < 0.013);  // half a microvolt
    CHECK(lines[0].ends_with(" °C"));
    CHECK(lines[0].size() == std::string("200.0000 °C").size());
    CHECK(lines[1] == "tolerance as delivered (IEC 60584-1): class 1 ± 1.50 °C, class 2 ± 2.50 °C");
    run = convert({"--rtd", "pt100", "--celsius", "-120"});
    CHECK(run.status == 0);
    lines = lines_of(run.output);
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].ends_with(" ohm"));
    CHECK(
        lines[1] ==
        "tolerance as delivered (IEC 60751): class B ± 0.90 °C (wire-wound), class C ± 1.80 °C (wire-wound)");
    run = convert({"--thermocouple", "K", "--celsius", "1300"});
    CHECK(has(run.output, "no tolerance class of IEC 60584-1 holds there"));
}

TEST_CASE("convert: the cold junction's emf is added on the way to degrees and taken off on the way back") {
    // Type T, printed: 9.288 mV at 200 degrees, 0.992 at 25.
    Finished run = convert({"--thermocouple", "T", "--millivolts", "8.296", "--cold-junction", "25"});
    CHECK(std::fabs(std::stod(run.output) - 200) < 0.02);
    run = convert({"--thermocouple", "T", "--celsius", "200", "--cold-junction", "25"});
    CHECK(std::fabs(std::stod(run.output) - 8.296) <= 0.001);
    CHECK(has(run.output, " mV\n"));
    // Type B at room temperature: 25 degrees give -0.002 mV.
    run = convert({"--thermocouple", "B", "--millivolts", "4.836", "--cold-junction", "25"});
    CHECK(std::fabs(std::stod(run.output) - 1000) < 0.2);
}

TEST_CASE("convert: --json has value, unit and tolerance") {
    Finished run =
        convert({"--thermocouple", "T", "--millivolts", "-0.5", "--cold-junction", "25", "--json"});
    REQUIRE(run.status == 0);
    Json json = Json::parse(run.output);
    CHECK(json.at("sensor") == "T");
    CHECK(json.at("given") == -0.5);
    CHECK(json.at("given_unit") == "mV");
    CHECK(json.at("cold_junction_c") == 25);
    CHECK(json.at("unit") == "°C");
    CHECK(json.at("value").get<double>() == doctest::Approx(12.56).epsilon(0.01));
    REQUIRE(json.at("tolerance").size() == 3);
    CHECK(json.at("tolerance")[0] == Json{{"class", "1"}, {"plus_minus_c", 0.5}});
    run = convert({"--rtd", "pt1000", "--celsius", "200", "--json"});
    REQUIRE(run.status == 0);
    json = Json::parse(run.output);
    CHECK(json.at("sensor") == "pt1000");
    CHECK(json.at("value") == 1758.56);
    CHECK(json.at("unit") == "ohm");
    CHECK(!json.contains("cold_junction_c"));
    CHECK(json.at("tolerance")[0] ==
          Json{{"class", "AA"}, {"plus_minus_c", 0.44}, {"wire_wound", true}, {"thin_film", false}});
    CHECK(json.at("tolerance").size() == 4);
}

TEST_CASE("convert: a pipe of every stored point, both ways, for every type") {
    const auto points = csv_rows(kReference + "thermocouple/computed_points.csv");
    for (const std::string type : {"K", "J", "T", "E", "N", "R", "S", "B"}) {
        CAPTURE(type);
        std::string celsius, millivolts;
        std::vector<std::pair<double, double>> right;
        for (const CsvRow& row : points) {
            if (row.at(0) != type) continue;
            celsius += row.at(1) + "\n";
            millivolts += row.at(2) + "\r\n";
            right.emplace_back(std::stod(row.at(1)), std::stod(row.at(2)));
        }
        const Finished to_mv = convert({"--thermocouple", type, "--celsius", "-"}, celsius);
        const Finished to_c = convert({"--thermocouple", type, "--millivolts", "-"}, millivolts);
        CHECK(to_mv.status == 0);
        CHECK(to_c.status == 0);
        const auto mv = lines_of(to_mv.output);
        const auto c = lines_of(to_c.output);
        REQUIRE(mv.size() == right.size());
        REQUIRE(c.size() == right.size());
        for (std::size_t i = 0; i < right.size(); ++i) {
            CHECK(std::fabs(std::stod(mv[i]) - right[i].second) <= 0.5001e-6);
            if (type == "B" && right[i].first < 250)
                CHECK(c[i] == "out-of-range");
            else
                CHECK(std::fabs(std::stod(c[i]) - right[i].first) <= 0.5002e-4);
        }
    }
}

TEST_CASE("convert: lines are bare numbers with fixed digits, or the word out-of-range") {
    Finished run =
        convert({"--thermocouple", "K", "--millivolts", "-"}, "20.644\n60\n -0.0000001 \nnan\n+1e0");
    CHECK(run.status == 0);
    CHECK(run.errors.empty());
    auto lines = lines_of(run.output);
    REQUIRE(lines.size() == 5);
    CHECK(std::fabs(std::stod(lines[0]) - 500) < 0.013);
    CHECK(lines[0].find('.') == lines[0].size() - 5);
    CHECK(lines[1] == "out-of-range");
    CHECK(lines[2] == "0.0000");
    CHECK(lines[3] == "out-of-range");
    CHECK(std::stod(lines[4]) == doctest::Approx(24.99).epsilon(0.001));
    run = convert({"--rtd", "pt100", "--celsius", "-"}, "0\n100\n851\n");
    CHECK(run.output == "100.000000\n138.505500\nout-of-range\n");
    run = convert({"--thermocouple", "J", "--celsius", "-"}, "");
    CHECK(run.status == 0);
    CHECK(run.output.empty());
}

TEST_CASE("convert: a line that is no number ends the answers and is named") {
    for (const std::string bad : {"", "abc", "1,5", "1 2"}) {
        CAPTURE(bad);
        const Finished run = convert({"--rtd", "pt100", "--ohms", "-"}, "100\n" + bad + "\n100\n");
        CHECK(run.status == 2);
        CHECK(run.output == "0.0000\n");
        CHECK(run.errors == "line 2 is no number of ohm; the answers end before it\n");
    }
    const Finished endless = convert({"--rtd", "pt100", "--ohms", "-"}, std::string(100'000, '7'));
    CHECK(endless.status == 2);
}

TEST_CASE("convert: a wrong call is one sentence and exit code 2") {
    check_wrong({}, "give either --thermocouple");
    check_wrong({"--thermocouple", "K", "--rtd", "pt100", "--celsius", "1"}, "give either --thermocouple");
    check_wrong({"--thermocouple", "k", "--celsius", "1"}, "K, J, T, E, N, R, S or B would be right");
    check_wrong({"--rtd", "Pt100", "--celsius", "1"}, "pt100 or pt1000 would be right");
    check_wrong({"--thermocouple", "K"}, "give either --millivolts or --celsius");
    check_wrong({"--rtd", "pt100", "--ohms", "100", "--celsius", "1"}, "give either --ohms or --celsius");
    check_wrong({"--rtd", "pt100", "--millivolts", "1"}, "has --ohms and not --millivolts");
    check_wrong({"--thermocouple", "K", "--ohms", "1"}, "gives --millivolts and not --ohms");
    check_wrong({"--thermocouple", "K", "--millivolts", "1,5"}, "\"1,5\" is no number of mV");
    check_wrong({"--thermocouple", "K", "--millivolts", "60"},
                "60 mV is outside what type K has: -6.458 to 54.886 mV would be right");
    check_wrong({"--thermocouple", "B", "--millivolts", "0.1"}, "0.291 to 13.820 mV would be right");
    check_wrong({"--rtd", "pt1000", "--ohms", "100"}, "185.20 to 3904.81 ohm would be right");
    check_wrong({"--rtd", "pt100", "--celsius", "900"}, "-200 to 850 °C would be right");
    check_wrong({"--rtd", "pt100", "--ohms", "100", "--cold-junction", "25"}, "is for a thermocouple");
    check_wrong({"--thermocouple", "B", "--millivolts", "3", "--cold-junction", "-5"}, "from 0 to 1820 °C");
    check_wrong({"--thermocouple", "K", "--millivolts", "-", "--json"}, "--json is for one number");
    CHECK(convert({"--thermocouple"}).status == 2);
    CHECK(convert({"--kelvin", "1"}).status == 2);
    CHECK(convert({"--help"}).status == 0);
}
