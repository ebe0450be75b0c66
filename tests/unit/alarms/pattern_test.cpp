#include <doctest/doctest.h>

#include <set>
#include <string>

#include "alarms/pattern.hpp"

using namespace drumwatch;

namespace {
std::string minute(Pattern pattern) {
    std::string steps;
    for (std::int64_t ms = 0; ms < 60'000; ms += kPulseStep_ms) steps += pulse(pattern, ms) ? 'x' : '.';
    return steps;
}
}  // namespace

TEST_CASE("patterns are told apart, sound at once, and are never a continuous tone") {
    std::set<std::string> seen;
    for (const Pattern pattern : {Pattern::high, Pattern::medium, Pattern::low}) {
        const std::string steps = minute(pattern);
        CHECK(steps[0] == 'x');
        CHECK(steps.find("xx") == std::string::npos);  // no tone longer than one step of 500 ms
        seen.insert(steps);
    }
    CHECK(seen.size() == 3);
    CHECK(minute(Pattern::high).starts_with("x.x.x...x.x....."));
    CHECK(minute(Pattern::low).find('x', 4) == std::string::npos);  // low: once
    CHECK(minute(Pattern::off).find('x') == std::string::npos);
    CHECK_FALSE(pulse(Pattern::high, -1));
}
