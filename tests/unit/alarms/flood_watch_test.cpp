// Floods and chattering after ANSI/ISA-18.2, from a secondary source: a flood starts at more than 10 alarms
// in 10 minutes and ends at less than 5; three onsets in a minute chatter.
#include "alarms/figures/flood_watch.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "alarms/figures/load.hpp"
#include "support/random.hpp"
#include "transitions.hpp"

using namespace drumwatch;
using enum AlarmRule;

namespace {

Tick tick(double s) { return {static_cast<std::int64_t>(s * 1000)}; }

/// How many lie in the 10 minutes up to now, counted one by one.
std::size_t in_window(const std::vector<std::int64_t>& onsets_ms, std::int64_t now_ms) {
    return static_cast<std::size_t>(std::count_if(
        onsets_ms.begin(), onsets_ms.end(),
        [&](std::int64_t at_ms) { return at_ms <= now_ms && at_ms > now_ms - kFloodWindow_ms; }));
}

bool covers(const TimeSpan& span, std::int64_t at_ms) { return span.from_ms <= at_ms && at_ms < span.to_ms; }

}  // namespace

TEST_CASE("flood: on with the 11th of 11 alarms in 9 minutes, off with less than 5 in 10 minutes") {
    FloodWatch watch;
    for (int i = 0; i < 10; ++i) watch.onset(drift, tick(54 * i));  // 0, 54 ... 486 s
    CHECK_FALSE(watch.flood(tick(539)));
    watch.onset(exhaust_high, tick(540));
    CHECK(watch.flood(tick(540)));
    CHECK(watch.flood(tick(700)));  // 8 in the last 10 minutes: fewer than 11, but no fewer than 5
    // The fifth newest came at 540 - 4 * 54 = 324 s, and is 10 minutes old at 924 s.
    CHECK(watch.flood(tick(923.75)));
    CHECK_FALSE(watch.flood(tick(924)));
}

TEST_CASE("flood: ten in ten minutes are none, nor is an eleventh that comes as the first grows too old") {
    FloodWatch watch;
    for (int i = 0; i < 60; ++i) {
        watch.onset(drift, tick(60 * i));
        CHECK_FALSE(watch.flood(tick(60 * i)));
    }
}

TEST_CASE("most in ten minutes: an onset that is just ten minutes old counts no more") {
    CHECK(alarm_figures(raised_at({0, 100, 600}), watched(3600)).most_in_10_minutes == 2);
    CHECK(alarm_figures(raised_at({0, 100, 599.75}), watched(3600)).most_in_10_minutes == 3);
}

TEST_CASE("flood: figures of 11 alarms in 9 minutes on one day") {
    std::vector<double> times_s;
    for (int i = 0; i < 11; ++i) times_s.push_back(1000 + 54 * i);
    const AlarmFigures f = alarm_figures(raised_at(times_s), watched(86'400));
    REQUIRE(f.floods.size() == 1);
    CHECK(f.floods[0].span == seconds(1540, 1924));
    CHECK(f.floods[0].alarms == 11);
    CHECK(f.longest_flood_ms == 384'000);
    CHECK(*f.flood_share == doctest::Approx(384.0 / 86'400));
    CHECK(f.most_in_10_minutes == 11);
    // More than 10 from the 11th onset at 1540 s until the first is 10 minutes old at 1600 s.
    CHECK(*f.crowded_share == doctest::Approx(60.0 / 86'400));
}

TEST_CASE("chattering: a square wave of 4 cycles a minute is flagged at its third onset") {
    FloodWatch watch;
    CHECK_FALSE(watch.onset(drift, tick(0)));
    CHECK_FALSE(watch.onset(drift, tick(15)));
    CHECK_FALSE(watch.onset(exhaust_high, tick(16)));
    CHECK_FALSE(watch.onset(exhaust_high, tick(17)));
    CHECK_FALSE(watch.chatters(drift, tick(29)));
    CHECK(watch.onset(drift, tick(30)));
    CHECK(watch.chatters(drift, tick(30)));
    CHECK_FALSE(watch.chatters(exhaust_high, tick(30)));
    CHECK(watch.onset(drift, tick(45)));
    CHECK(watch.chatters(drift, tick(74)));  // 15, 30 and 45 s
    CHECK_FALSE(watch.chatters(drift, tick(75)));
    // Once for the whole stretch; a wave of 2 cycles a minute never has three in one.
    const auto once = alarm_figures(raised_at({0, 15, 30, 45, 60, 500, 530, 560, 590}), watched(600));
    CHECK(once.chattering == 1);
    CHECK(alarm_figures(raised_at({0, 10, 20, 200, 210, 220}), watched(600)).chattering == 2);
}

TEST_CASE("a flood is handed on to the next watch") {
    FloodWatch watch;
    for (int i = 0; i < 11; ++i) watch.onset(drift, tick(i));
    const FloodWatch next(watch.memory());
    CHECK(next.flood(tick(11)));
    CHECK(next.chatters(drift, tick(11)));
}

TEST_CASE("floods and crowded times are those that counting one by one finds") {
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        CAPTURE(seed);
        TestRandom random(seed);
        std::vector<std::int64_t> onsets_ms;
        std::int64_t now_ms = 0;
        for (int i = 0; i < 150; ++i) {
            // Bunches and quiet stretches; every so often one just as another grows too old.
            const bool bunch = i % 30 < 15;
            now_ms += 1000 * static_cast<std::int64_t>(std::abs(random.normal()) * (bunch ? 25 : 110));
            if (!bunch && i % 7 == 6)
                now_ms = std::max(now_ms, onsets_ms[onsets_ms.size() - 4 - seed % 2] + kFloodWindow_ms);
            onsets_ms.push_back(now_ms);
        }
        const auto found = floods(onsets_ms, now_ms + 10 * kFloodWindow_ms);
        const auto crowded = crowded_spans(onsets_ms);
        FloodWatch watch;
        bool flood = false;
        std::size_t next = 0;
        std::size_t differ = 0;
        std::size_t in_flood = 0;
        for (std::int64_t ms = 0; ms < now_ms + 2 * kFloodWindow_ms; ms += 1000) {
            while (next < onsets_ms.size() && onsets_ms[next] == ms)
                watch.onset(drift, Tick{onsets_ms[next++]});
            const std::size_t count = in_window(onsets_ms, ms);
            flood = count > 10 || (flood && count >= 5);
            in_flood += flood ? 1 : 0;
            const bool here = std::any_of(found.begin(), found.end(),
                                          [&](const AlarmFlood& one) { return covers(one.span, ms); });
            const bool dense = std::any_of(crowded.begin(), crowded.end(),
                                           [&](const TimeSpan& one) { return covers(one, ms); });
            differ += (here != flood) + (watch.flood({ms}) != flood) + (dense != (count > 10));
        }
        CHECK(differ == 0);
        CHECK(in_flood > 0);
    }
}
