// Which rules are named, why, and that no suggestion brings a limit nearer to a danger.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "alarms/figures/benchmarks.hpp"
#include "core/event.hpp"
#include "transitions.hpp"

using namespace drumwatch;
using enum AlarmRule;

namespace {

std::vector<Annoyance> reasons(const std::vector<AlarmTransition>& list, AlarmRule rule) {
    std::vector<Annoyance> found;
    for (const BadActor& actor : bad_actors(alarm_figures(list, watched(86'400)))) {
        if (actor.rule == rule) found.push_back(actor.why);
    }
    return found;
}

bool has(std::string_view text, std::string_view part) { return text.find(part) != std::string_view::npos; }

}  // namespace

TEST_CASE("bad actors: chattering, unanswered and frequent, each from its own number on") {
    using enum Annoyance;
    CHECK(reasons(raised_at({0, 100}), drift).empty());
    CHECK(reasons(raised_at({0, 100, 200}), drift) == std::vector{unanswered});
    CHECK(reasons(raised_at({0, 10, 20}), drift) == std::vector{chattering, unanswered});
    std::vector<double> ten;
    for (int i = 0; i < 10; ++i) ten.push_back(1000 * i);
    CHECK(reasons(raised_at(ten), drift) == std::vector{frequent, unanswered});
    auto answered = raised_at(ten);
    for (std::uint64_t i = 1; i <= 5; ++i)
        answered.push_back(at(20'000, AlarmChange::acknowledged, i, drift));
    CHECK(reasons(answered, drift) == std::vector{frequent});
}

TEST_CASE("bad actors: a suggestion never delays or moves what guards against a danger") {
    for (const AlarmRule rule : {bean_high_high, exhaust_high, bean_probe_fault, bus_silent}) {
        REQUIRE(guards_against_danger(rule));
        for (std::size_t i = 0; i < kAnnoyances; ++i) {
            const std::string_view text = suggestion(rule, static_cast<Annoyance>(i));
            CAPTURE(text);
            CHECK(text.starts_with("Find "));
            for (const char* word : {"longer", "wider", "higher", "raise", "deadband", "out of service"})
                CHECK_FALSE(has(text, word));
        }
    }
    CHECK(has(suggestion(drift, Annoyance::chattering), "off-delay"));
    CHECK(has(suggestion(drift, Annoyance::fleeting), "on-delay"));
    CHECK(has(suggestion(record_failing, Annoyance::stale), "maintenance"));
}

TEST_CASE("bad actors: whatever the rule and the reason, there are words") {
    for (std::size_t rule = 0; rule < kAlarmRules; ++rule) {
        for (std::size_t i = 0; i < kAnnoyances; ++i) {
            const auto why = static_cast<Annoyance>(i);
            const std::string_view text = suggestion(static_cast<AlarmRule>(rule), why);
            CHECK(text.ends_with("."));
            CHECK_FALSE(has(text, "higher limit"));
            CHECK_FALSE(words(why).empty());
            CHECK(name(why) != "?");
        }
    }
}

TEST_CASE("every alarm event of the journal has a meaning here, and its word") {
    CHECK(alarm_change("alarm_raised") == AlarmChange::raised);
    CHECK(alarm_change("alarms_silenced") == AlarmChange::silenced);
    CHECK_FALSE(alarm_change("milestone_set"));
    for (std::size_t i = 0; i < kAlarmChanges; ++i) {
        CHECK(name(static_cast<AlarmChange>(i)) != "?");
        CHECK_FALSE(words(static_cast<AlarmChange>(i)).empty());
    }
    for (int i = 0; i < 64; ++i) {
        const std::string_view kind = name(static_cast<EventKind>(i));
        const bool of_one = kind.starts_with("alarm") && kind != name(EventKind::alarms_flood);
        if (of_one) CHECK_MESSAGE(alarm_change(kind), kind);
    }
}
