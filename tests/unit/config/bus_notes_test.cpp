// What `check` says of buses that are right as they are.
#include "config/bus_checks.hpp"

#include <doctest/doctest.h>

#include "unit/config/reading.hpp"

using namespace drumwatch;

namespace {

Config with_line(const std::string& bus, int tick_ms, const std::string& second_unit) {
    return right(R"({"station": "s", "limiter": "none stated", "record": {"path": "r"}, "tick_ms": )" +
                 std::to_string(tick_ms) +
                 R"(, "buses": [{"name": "line", "kind": "modbus_rtu", "device": "/dev/ttyS0")" + bus +
                 R"(}], "channels": [
        {"name": "bean", "bus": "line", "unit": "°C", "modbus": {"table": "input", "address": 0}},
        {"name": "inlet", "bus": "line", "unit": "°C", "modbus": {"table": "input", "address": 100}},
        {"name": "exhaust", "bus": "line", "unit": "°C",
         "modbus": {"table": "input", "address": 0, "unit_id": )" +
                 second_unit + "}}]}");
}

}  // namespace

TEST_CASE("config: a line too slow for the tick is said by check, with the least time of a poll") {
    CHECK(bus_notes(with_line("", 500, "1")).empty());
    // Two questions of 8 bytes with answers of 7, 11 bits each at 1200 baud: 275 ms, and four silences of 3.5
    // characters: 128.3 ms.
    const auto notes = bus_notes(with_line(R"(, "baud": 1200)", 250, "1"));
    REQUIRE(notes.size() == 1);
    CHECK(notes[0].find("bus \"line\": reading all its channels takes 404 ms or more at 1200 baud") == 0);
}

TEST_CASE("config: a time-out longer than a tick is said where other units wait for it") {
    CHECK(bus_notes(with_line(R"(, "timeout_ms": 400)", 250, "1")).empty());
    const auto notes = bus_notes(with_line(R"(, "timeout_ms": 400)", 250, "2"));
    REQUIRE(notes.size() == 1);
    CHECK(notes[0].find("a question to a silent unit takes 400 ms, longer than a tick (250 ms)") !=
          std::string::npos);
}
