// Figures worked out by hand. What they are held against: ANSI/ISA-18.2, IEC 62682 and EEMUA 191, from memory
// and secondary sources.
#include "alarms/figures/figures.hpp"

#include <doctest/doctest.h>

#include <stdexcept>
#include <string>

#include "alarms/figures/benchmarks.hpp"
#include "transitions.hpp"

using namespace drumwatch;
using enum AlarmChange;
using enum AlarmRule;
using enum Priority;

namespace {

/// Two hours with four roasts, of which 200 s were not watched.
AlarmPeriod two_hours() {
    AlarmPeriod period;
    period.span = seconds(0, 7200);
    period.watched = {seconds(0, 3600), seconds(3800, 7200)};
    period.days = {{"first", seconds(-3600, 3600)}, {"second", seconds(3600, 90'000)}};
    period.roasts = {{1, seconds(600, 1320), true, true},
                     {2, seconds(1800, 2520), true, false},
                     {3, seconds(3000, 3720), true, true},
                     {4, seconds(4000, 4700), true, false}};
    period.configured = {{bean_high_high, high}, {exhaust_high, medium}, {drift, medium},
                         {bus_silent, low},      {record_failing, low},  {bean_probe_fault, low}};
    return period;
}

std::vector<AlarmTransition> log_of_two_hours() {
    return {
        at(100, raised, 1, bus_silent, low),
        at(105, cleared, 1, bus_silent, low),  // after 5 s, unaided: fleeting
        at(700, raised, 2, drift, medium, 1),
        at(730, acknowledged, 2, drift, medium, 1, "Ada"),  // after 30 s
        at(760, cleared, 2, drift, medium, 1),
        at(1900, raised, 3, bean_probe_fault, high, 2),
        at(1908, acknowledged, 3, bean_probe_fault, high, 2, "Ada"),  // after 8 s
        at(1909, cleared, 3, bean_probe_fault, high, 2),  // after 9 s, but somebody had answered it
        at(2000, raised, 4, drift, medium, 2),
        at(2015, cleared, 4, drift, medium, 2),
        at(2020, raised, 5, drift, medium, 2),
        at(2035, cleared, 5, drift, medium, 2),
        at(2050, raised, 6, drift, medium, 2),  // the third within 50 s: it chatters
        at(2060, silenced, 0, drift, medium, 2),
        at(2070, acknowledged, 6, drift, medium, 2, "Bo"),  // after 20 s
        at(2080, cleared, 6, drift, medium, 2),
        at(2400, raised, 7, record_failing, medium, 2),
        at(2404, shelved, 7, record_failing, medium, 2, "Ada"),
        at(2408, cleared, 7, record_failing, medium, 2),  // after 8 s, but somebody had shelved it
        at(2900, raised, 8, exhaust_high, medium),        // and never over: roasts 3 and 4 pass
        at(5000, raised, 9, bean_high_high, high),
        at(5012, cleared, 9, bean_high_high, high),
        at(5100, acknowledged, 9, bean_high_high, high, 0, "Ada"),  // after 100 s
        at(5110, reset, 9, bean_high_high, high, 0, "Ada"),
        at(7200, raised, 10, drift),  // the period is over
    };
}

AlarmFigures figures_of_two_hours() { return alarm_figures(log_of_two_hours(), two_hours()); }

doctest::Approx near(double value) { return doctest::Approx(value).epsilon(1e-9); }

const Benchmark& row(const std::vector<Benchmark>& rows, std::string_view name) {
    for (const Benchmark& one : rows) {
        if (one.name == name) return one;
    }
    throw std::runtime_error("there is no benchmark " + std::string(name));
}

}  // namespace

TEST_CASE("alarm figures by hand: how many, by day and by roast") {
    const AlarmFigures f = figures_of_two_hours();
    CHECK(f.alarms == 9);  // raised in the period: numbers 1 to 9
    CHECK(f.watched_ms == 7'000'000);
    REQUIRE(f.by_day.size() == 2);
    CHECK(f.by_day[0].alarms == 8);  // all but number 9
    CHECK(f.by_day[0].watched_ms == 3'600'000);
    CHECK(f.by_day[1].alarms == 1);
    CHECK(f.by_day[1].watched_ms == 3'400'000);
    CHECK(*f.per_day == near(4.5));  // 9 / 2
    CHECK(f.most_in_a_day == 8);
    REQUIRE(f.by_roast.size() == 4);
    CHECK(f.by_roast[0].alarms == 1);  // 2
    CHECK(f.by_roast[1].alarms == 5);  // 3, 4, 5, 6, 7
    CHECK(f.by_roast[1].by_priority == ByPriority{1, 4, 0});
    CHECK(f.by_roast[2].alarms == 0);
    CHECK(f.by_roast[3].alarms == 0);
    CHECK(f.in_roasts == 6);
    CHECK(*f.per_roast == near(1.5));       // 6 / 4
    CHECK(*f.per_good_roast == near(0.5));  // roasts 1 and 3: 1 / 2
}

TEST_CASE("alarm figures by hand: in ten minutes") {
    const AlarmFigures f = figures_of_two_hours();
    CHECK(*f.per_10_minutes == near(9 / (7000.0 / 600)));  // 0.771
    // In the drum and watched: 720 + 720 + 600 (the rest of roast 3 was not watched) + 700 s.
    CHECK(*f.per_10_minutes_roasting == near(6 / (2740.0 / 600)));  // 1.314
    CHECK(f.most_in_10_minutes == 5);                               // 1900, 2000, 2020, 2050 and 2400 s
    CHECK(*f.crowded_share == 0);
    CHECK(f.floods.empty());
    CHECK(*f.flood_share == 0);
}

TEST_CASE("alarm figures by hand: nuisances, priorities, answers") {
    const AlarmFigures f = figures_of_two_hours();
    CHECK(f.chattering == 1);  // drift at 2050 s
    CHECK(f.fleeting == 1);    // 1; 3 was acknowledged and 7 shelved before it was over
    CHECK(f.nameless == 0);    // 7 was shelved by Ada
    CHECK(f.stale_day == 0);
    CHECK(f.stale_roasts == 1);  // 8, over roasts 3 and 4
    CHECK(f.by_priority == ByPriority{2, 6, 1});
    CHECK(f.configured == ByPriority{1, 2, 3});
    CHECK(f.acknowledged == 4);  // after 8, 20, 30 and 100 s
    CHECK(f.unacknowledged == 5);
    CHECK(*f.median_acknowledge_s == near(25));         // between 20 and 30
    CHECK(*f.percentile_90_acknowledge_s == near(79));  // place 0.9 * 3 = 2.7: 30 + 0.7 * 70
    REQUIRE(f.rules.size() == 6);
    CHECK(f.rules[0].rule == drift);
    CHECK(f.rules[0].alarms == 4);  // 2, 4, 5, 6
    CHECK(f.rules[0].share == near(4 / 9.0));
    CHECK(f.rules[0].unacknowledged == 2);  // 4 and 5
    CHECK(f.top_ten_share == near(1));      // there are but six
}

TEST_CASE("alarm figures by hand: against the benchmarks") {
    using enum BenchmarkStand;
    const auto rows = benchmarks(figures_of_two_hours());
    CHECK(row(rows, "per_10_minutes").stand == within);         // 0.77, about 1 is acceptable
    CHECK(row(rows, "per_10_minutes_roasting").stand == look);  // 1.3, between 1 and 2
    CHECK(row(rows, "most_in_10_minutes").stand == within);
    CHECK(row(rows, "per_day").stand == within);
    CHECK(row(rows, "per_roast").stand == beyond);       // 1.5, our goal is 1
    CHECK(row(rows, "per_good_roast").stand == beyond);  // 0.5, our goal is 0
    CHECK(row(rows, "flood_share").stand == within);
    CHECK(row(rows, "chattering").stand == beyond);
    CHECK(row(rows, "fleeting").stand == beyond);
    CHECK(row(rows, "most_stale_in_a_day").stand == within);
    CHECK(row(rows, "stale_roasts").stand == beyond);
    CHECK(row(rows, "rules_high").stand == within);    // 16.7 %, but it is 1 alarm
    CHECK(row(rows, "rules_medium").stand == beyond);  // 33.3 %, at most 20
    CHECK(*row(rows, "rules_low").value == near(50));
    CHECK(row(rows, "top_ten_share").stand == not_judged);
    for (const Benchmark& one : rows) {
        INFO(one.name);
        CHECK(one.benchmark.empty() == one.source.empty());
        CHECK((one.stand == not_judged || !one.benchmark.empty()));
    }
}

TEST_CASE("alarm figures: nothing watched gives no rates and no judgements of them") {
    const AlarmFigures f = alarm_figures({}, AlarmPeriod{seconds(0, 100), {}, {}, {}, {}});
    CHECK(f.alarms == 0);
    CHECK_FALSE(f.per_10_minutes);
    CHECK_FALSE(f.per_day);
    CHECK_FALSE(f.per_roast);
    CHECK_FALSE(f.flood_share);
    CHECK_FALSE(f.median_acknowledge_s);
    CHECK(row(benchmarks(f), "per_10_minutes").stand == BenchmarkStand::not_judged);
    CHECK(bad_actors(f).empty());
}

// ANSI/ISA-18.2, from a secondary source: stale is what is active for more than 24 h.
TEST_CASE("stale: for more than a day, on each of its days") {
    constexpr double kDay = 86'400;
    AlarmPeriod period = watched(4 * kDay);
    for (int i = 0; i < 4; ++i) period.days.push_back({std::to_string(i), seconds(i * kDay, (i + 1) * kDay)});
    const auto lasting = [&](double s) {
        return alarm_figures({at(3600, raised, 1, drift), at(3600 + s, cleared, 1, drift)}, period);
    };
    CHECK(lasting(kDay).stale_day == 0);  // not more than 24 h
    CHECK(lasting(kDay + 1).stale_day == 1);
    const AlarmFigures f = lasting(2 * kDay);  // active from 1:00 of day 0 to 1:00 of day 2
    CHECK(f.by_day[0].stale == 0);
    CHECK(f.by_day[1].stale == 1);
    CHECK(f.by_day[2].stale == 1);
    CHECK(f.by_day[3].stale == 0);
    // Raised before the period, and still active in it.
    AlarmPeriod later = period;
    later.span = seconds(2 * kDay, 4 * kDay);
    const AlarmFigures after = alarm_figures({at(3600, raised, 1, drift)}, later);
    CHECK(after.alarms == 0);
    CHECK(after.stale_day == 1);
    CHECK(after.rules.size() == 1);
    CHECK(bad_actors(after).size() == 1);
    // The daemon began anew: nobody knows whether it is active still.
    const AlarmTransition restart = at(7200, forgotten, 0, drift);
    CHECK(alarm_figures({at(3600, raised, 1, drift), restart}, period).stale_day == 0);
    // Out of sight is no more active.
    for (const AlarmChange change : {suppressed, out_of_service})
        CHECK(alarm_figures({at(3600, raised, 1, drift), at(9000, change, 1, drift)}, period).stale_day == 0);
}

TEST_CASE("numbers of occurrences that begin anew belong to the newest alarm") {
    const AlarmFigures f = alarm_figures({at(0, raised, 1, drift), at(50, forgotten, 0, drift),
                                          at(100, raised, 1, exhaust_high), at(112, acknowledged, 1, drift)},
                                         watched(600));
    CHECK(f.alarms == 2);
    CHECK(*f.median_acknowledge_s == near(12));
    CHECK(f.unacknowledged == 1);
}

TEST_CASE("fleeting: within 10 s, whoever answers afterwards") {
    const auto cleared_after = [](double s) {
        return alarm_figures(
                   {at(10, raised, 1, drift), at(10 + s, cleared, 1, drift), at(40, acknowledged, 1, drift)},
                   watched(600))
            .fleeting;
    };
    CHECK(cleared_after(10) == 1);
    CHECK(cleared_after(10.25) == 0);
}

// Judgement, no source: more than two times again in one roast.
TEST_CASE("shelved again and again: only within one roast") {
    std::vector<AlarmTransition> list{at(0, raised, 1, drift, medium, 1)};
    for (int i = 0; i < 3; ++i) list.push_back(at(10 + i, shelved, 1, drift, medium, 1));
    list.push_back(at(20, shelved, 1, drift, medium, 2));
    CHECK(alarm_figures(list, watched(600)).reshelved.empty());  // again twice, once in the next roast
    list.push_back(at(21, shelved, 1, drift, medium, 1));
    const AlarmFigures f = alarm_figures(list, watched(600));
    REQUIRE(f.reshelved.size() == 1);
    CHECK(f.reshelved[0].roast == 1);
    CHECK(f.reshelved[0].rule == drift);
    CHECK(f.reshelved[0].again == 3);
    CHECK(f.nameless == 5);
}
