#include "config/limiter.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

LimiterConfig tested_on(const char* day) {
    LimiterConfig limiter;
    limiter.stated = true;
    limiter.place = "bean";
    limiter.setting_c = 250;
    limiter.tested = day;
    return limiter;
}

WallTime day(const char* text) { return *wall_time_from_utc(std::string(text) + "T12:00:00.000Z"); }

}  // namespace

TEST_CASE("months since the limiter's test are whole ones of the calendar") {
    CHECK(months_since_test(tested_on("2026-03-31"), {}, day("2026-03-31")) == 0);
    CHECK(months_since_test(tested_on("2026-03-31"), {}, day("2026-04-30")) == 0);
    CHECK(months_since_test(tested_on("2026-03-31"), {}, day("2026-05-31")) == 2);
    CHECK(months_since_test(tested_on("2024-02-29"), {}, day("2025-02-28")) == 11);
    CHECK(months_since_test(tested_on("2024-02-29"), {}, day("2025-03-01")) == 12);
    CHECK(months_since_test(tested_on("2025-12-15"), {}, day("2026-01-15")) == 1);
    CHECK_FALSE(months_since_test(tested_on(""), {}, day("2026-01-15")));
    CHECK(months_since_test(tested_on(""), day("2025-12-15"), day("2026-02-15")) == 2);
    CHECK(months_since_test(tested_on("2026-01-10"), day("2025-12-15"), day("2026-02-15")) == 1);
}

TEST_CASE("a note says that no limiter or no test is stated, or that a test is due") {
    CHECK(limiter_note({}, day("2026-01-15")).find("no independent high-limit control is stated") == 0);
    CHECK(limiter_note(tested_on(""), day("2026-01-15")).find("is not stated") != std::string::npos);
    CHECK(limiter_note(tested_on("2025-01-16"), day("2026-01-15")).empty());
    CHECK(limiter_note(tested_on("2025-01-15"), day("2026-01-15")) ==
          "the independent high-limit control was last tested on 2025-01-15, 12 months ago: its test is due");
}
