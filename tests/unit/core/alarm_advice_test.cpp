// What the built-in texts of alarms may and may not say. The words are the house's rule: no text advises more
// heat, relighting, fighting a fire, or going on without the probe.
#include "core/alarm_advice.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <set>
#include <string>

using namespace drumwatch;

namespace {

std::string lower(std::string_view text) {
    std::string small(text);
    std::transform(small.begin(), small.end(), small.begin(),
                   [](char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); });
    return small;
}

constexpr AlarmRule kOfHeat[] = {AlarmRule::bean_high_high, AlarmRule::exhaust_high, AlarmRule::inlet_high,
                                 AlarmRule::drum_high};

}  // namespace

TEST_CASE("no built-in text of an alarm tells anyone to fight a fire or to heat on") {
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const AlarmAdvice& row = advice(static_cast<AlarmRule>(i));
        for (const std::string_view text : {row.title, row.causes, row.consequence, row.action, row.owner}) {
            CAPTURE(text);
            for (const char* word : {"open the door", "water", "relight", "more heat", "extinguish", "ignite",
                                     "without the probe", "turn up", "raise the burner"}) {
                CAPTURE(word);
                CHECK(lower(text).find(word) == std::string::npos);
            }
        }
    }
}

TEST_CASE(
    "without a site's card, heat and fire say the machine's manual and the site's fire plan, and no more") {
    std::set<std::string> said;
    for (const AlarmRule rule : kOfHeat) said.insert(shown_advice(rule, {}, "").response);
    CHECK(said == std::set<std::string>{
                      "Follow the machine's manual and the site's fire plan. If in doubt leave and call the "
                      "fire service."});
}

TEST_CASE("a site's card takes the place of every text on a danger, and of no other") {
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const auto rule = static_cast<AlarmRule>(i);
        const AlarmAdvice& row = advice(rule);
        CAPTURE(row.title);
        CHECK(shown_advice(rule, {}, "Leave by the east door.").response ==
              (row.site_card ? "Leave by the east door." : std::string(row.action)));
    }
    for (const AlarmRule rule : kOfHeat) CHECK(advice(rule).site_card);
    for (const AlarmRule rule :
         {AlarmRule::carbon_monoxide_high, AlarmRule::carbon_monoxide, AlarmRule::flame_out})
        CHECK(advice(rule).site_card);
}
