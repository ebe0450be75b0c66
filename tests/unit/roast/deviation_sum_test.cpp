// Summed up as the roast goes, or at one go afterwards: the same.
#include "roast/verdict/deviation_sum.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "support/random.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

/// Wanders about the target, with spikes and stretches that nobody could read.
TraceEntry wandering(TestRandom& random, const TargetCurve& target, Tick at, double& off_c, int& unread) {
    off_c += random.normal() * 0.05;
    if (unread == 0 && random.below(150) == 0) unread = static_cast<int>(random.below(90));
    if (unread > 0) --unread;
    const double bean_c = target.bean_at(seconds_between(Tick{0}, at)) + off_c;
    const double spike_c = random.below(60) == 0 ? 9 : 0;
    return {at, unread == 0, static_cast<float>(bean_c + spike_c + random.normal() * 0.1), unread == 0,
            static_cast<float>(bean_c)};
}

void same(const DeviationSummary& a, const DeviationSummary& b) {
    CHECK(a.max_c == b.max_c);
    CHECK(a.max_at_s == b.max_at_s);
    CHECK(a.outside_s == b.outside_s);
    CHECK(a.outside_total_s == b.outside_total_s);
    CHECK(a.far_outside_s == b.far_outside_s);
    CHECK(a.gap_s == b.gap_s);
    CHECK(a.end_c == b.end_c);
    CHECK(a.max_ahead_s == b.max_ahead_s);
    CHECK(a.max_behind_s == b.max_behind_s);
}

}  // namespace

TEST_CASE("A sum that grows with the roast gives what summing up afterwards gives, whenever the drop was") {
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        INFO("seed " << seed);
        TestRandom random(seed);
        const TargetCurve target(share(straight_target()));
        const std::int64_t tick_ms = seed % 3 == 0 ? 100 : seed % 3 == 1 ? 250 : 1000;
        Trace trace;
        DeviationSum growing;
        growing.start(&target, Tick{0});
        double off_c = 0;
        int unread = 0;
        for (std::int64_t ms = 0; ms <= 680'000; ms += tick_ms) {
            trace.add(wandering(random, target, Tick{ms}, off_c, unread));
            growing.go_on(trace, 3);
            if (random.below(100) != 0) continue;
            // Found at once, seconds later as usual, or marked long after.
            const std::int64_t back_ms = static_cast<std::int64_t>(
                random.below(5) == 0 ? random.below(300'000) : random.below(30'000));
            const Tick drop{std::max<std::int64_t>(ms - back_ms, 0)};
            DeviationSum afterwards;
            afterwards.start(&target, Tick{0});
            same(growing.until(trace, drop), afterwards.until(trace, drop));
        }
    }
}

TEST_CASE("A sum that begins late catches up while the roast goes on") {
    const TargetCurve target(share(straight_target()));
    TestRandom random(5);
    Trace trace;
    DeviationSum growing;
    double off_c = 0;
    int unread = 0;
    for (std::int64_t ms = 0; ms <= 400'000; ms += 250)
        trace.add(wandering(random, target, Tick{ms}, off_c, unread));
    growing.start(&target, Tick{3'000});  // the charge was at another time
    for (std::int64_t ms = 400'250; ms <= 660'000; ms += 250) {
        trace.add(wandering(random, target, Tick{ms}, off_c, unread));
        growing.go_on(trace, 3);
    }
    DeviationSum afterwards;
    afterwards.start(&target, Tick{3'000});
    same(growing.until(trace, Tick{648'000}), afterwards.until(trace, Tick{648'000}));
}
