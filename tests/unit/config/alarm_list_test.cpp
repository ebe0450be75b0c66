// The configured alarms as a table. That one high alarm, or a twentieth, may be high, and so on, is EEMUA
// 191's as quoted in secondary sources, from memory.
#include "config/alarm_list.hpp"

#include <doctest/doctest.h>

#include "config/alarm_keys.hpp"
#include "unit/config/reading.hpp"

using namespace drumwatch;

namespace {

const char* const kSmall = R"({"station": "x", "limiter": "none stated", "record": {"path": "r.sqlite"},
    "buses": [{"name": "m", "kind": "modbus_tcp", "host": "h"}],
    "channels": [{"name": "bean", "bus": "m", "unit": "°C", "modbus": {"table": "input", "address": 0}}]})";

std::string line_of(const std::string& list, std::string_view rule) {
    const std::size_t from = list.find(std::string(rule) + " ");
    REQUIRE(from != std::string::npos);
    return list.substr(from, list.find('\n', from) - from);
}

}  // namespace

TEST_CASE("alarms: each rule has its line, with limit, delays and priority, or why it is off") {
    const std::string list = alarm_list(right(kFullConfig));
    for (const AlarmKeys& keys : kAlarmTable) line_of(list, keys.name());
    CHECK(line_of(list, "bean_high_high") ==
          "bean_high_high        high      235 °C                2 s     12 s");
    CHECK(line_of(list, "drop_overdue") ==
          "drop_overdue          low       +4 °C                 4 s      9 s  stays until reset");
    const std::string small = alarm_list(right(kSmall));
    CHECK(line_of(small, "exhaust_high") == "exhaust_high          off: no limit is set");
    CHECK(line_of(small, "flame_out") == "flame_out             off: no channel is called \"exhaust\"");
    const std::string without = alarm_list(right(changed("/alarms/drift/on", false)));
    CHECK(line_of(without, "drift") == "drift                 off");
}

TEST_CASE(
    "alarms: of a small station one alarm is high, and the shares are told beside what is held to be good") {
    const std::string small = alarm_list(right(kSmall));
    CHECK(has(small, "\n1 (7 %) high, 9 (64 %) medium, 4 (29 %) low;"));
    CHECK(has(small, "held to be good: 5, 15 and 80 %, or one high alarm"));
}
