// Days of the box's time zone. The rule is POSIX's way to write a zone (TZ, XBD 8.3): an hour east of UTC,
// two from the last Sunday of March to that of October; in 2026 those are the 29th and the 25th, by the
// calendar.
#include "service/local_time.hpp"

#include <doctest/doctest.h>

#include <cstdlib>
#include <string>

using namespace drumwatch;

namespace {

/// A time zone for as long as it lives.
class Zone {
  public:
    explicit Zone(const char* rule) {
        const char* before = std::getenv("TZ");
        had_ = before != nullptr;
        if (had_) before_ = before;
        setenv("TZ", rule, 1);
    }
    ~Zone() { had_ ? setenv("TZ", before_.c_str(), 1) : unsetenv("TZ"); }
    Zone(const Zone&) = delete;
    Zone& operator=(const Zone&) = delete;

  private:
    bool had_ = false;
    std::string before_;
};

std::string utc(std::optional<WallTime> instant) { return instant ? utc_text(*instant) : "none"; }

std::int64_t hours_of(const char* date) {
    const WallTime begins = local_day(date).value();
    return (local_day_of(begins, 1).unix_ms - begins.unix_ms) / 3'600'000;
}

}  // namespace

TEST_CASE("local days begin at the zone's midnight and may be an hour shorter or longer") {
    const Zone zone("MIL-1MILS,M3.5.0,M10.5.0/3");
    CHECK(utc(local_day("2026-01-15")) == "2026-01-14T23:00:00.000Z");
    CHECK(utc(local_day("2026-07-15")) == "2026-07-14T22:00:00.000Z");
    CHECK(hours_of("2026-03-28") == 24);
    CHECK(hours_of("2026-03-29") == 23);
    CHECK(hours_of("2026-10-25") == 25);
    CHECK(local_text(local_day("2026-07-15").value()) == "2026-07-15 00:00:00 +02:00");
    CHECK(local_date({local_day("2026-07-15").value().unix_ms - 1}) == "2026-07-14");
    CHECK(utc(local_day_of({local_day("2026-03-01").value().unix_ms}, -1)) == "2026-02-27T23:00:00.000Z");
}

TEST_CASE("local days west of UTC") {
    const Zone zone("OUT+3:30");
    CHECK(utc(local_day("2026-01-15")) == "2026-01-15T03:30:00.000Z");
    CHECK(local_text({0}) == "1969-12-31 20:30:00 -03:30");
}

TEST_CASE("what is no date") {
    for (const char* text : {"", "2026-02-29", "2026-13-01", "2026-1-5", "26-01-05", "2026-01-05T00:00"})
        CHECK_FALSE(local_day(text));
    CHECK(local_day("2028-02-29"));
}
