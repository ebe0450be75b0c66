#include "roast/forecast/burner_lead.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/targets.hpp"

using namespace drumwatch;

namespace {
/// Burner down to 60 at 300 s, to 40 at 500 s of the target; charged with 80.
Target with_moves() {
    Target target = straight_target();
    target.moves = {planned(Control::burner, 60, TriggerKind::at_s, 300),
                    planned(Control::airflow, 70, TriggerKind::at_s, 320),
                    planned(Control::burner, 40, TriggerKind::bean_c, 168)};  // at 500 s
    return target;
}

/// Told once a second up to `until_s`, on the target; the move at 300 s is made `late_s` later.
BurnerLead told(const TargetCurve& curve, double until_s, double late_s) {
    BurnerLead lead;
    lead.start(&curve);
    for (int s = 0; s <= static_cast<int>(until_s); ++s) {
        const double level = s < 300 + late_s ? 80 : 60;
        lead.add(Tick{s * 1000}, level, s > 60 ? std::optional<double>(s) : std::nullopt);
    }
    return lead;
}
}  // namespace

TEST_CASE("as planned, nothing differs, whatever is still to come") {
    const TargetCurve curve(share(with_moves()));
    const BurnerLead lead = told(curve, 480, 0);
    BurnerLead::PendingMoves pending;
    pending.push_back({20, 40});
    auto path = lead.path(480, pending, false);
    REQUIRE(path);
    for (int i = 0; i < 12; ++i) CHECK(std::fabs(path->next()) < 0.02);
}

TEST_CASE("a move not made yet heats on, then fades when it is made") {
    const TargetCurve curve(share(with_moves()));
    const BurnerLead lead = told(curve, 320, 1000);
    BurnerLead::PendingMoves none;
    auto on = lead.path(320, none, true);
    REQUIRE(on);
    double most = 0;
    for (int i = 0; i < 6; ++i) most = std::max(most, on->next());
    // Up to log(80 / 60) more of the level, felt after a lag, and believed less with time.
    CHECK(most > 0.1);
    CHECK(most < 2.3 * std::log(80.0 / 60));
    BurnerLead::PendingMoves soon;
    soon.push_back({5, 60});
    auto made = lead.path(320, soon, true);
    double last = 0;
    for (int i = 0; i < 12; ++i) last = made->next();
    CHECK(last < 0.05);
}

TEST_CASE("what nobody trims stays, of what hands trim the smaller part") {
    const TargetCurve curve(share(with_moves()));
    const BurnerLead lead = told(curve, 320, 1000);
    BurnerLead::PendingMoves none;
    auto alone = lead.path(320, none, false);
    auto trimmed = lead.path(320, none, true);
    double alone_last = 0, trimmed_last = 0;
    for (int i = 0; i < 15; ++i) {
        alone_last = alone->next();
        trimmed_last = trimmed->next();
        CHECK(alone_last > trimmed_last);
    }
    const double excess = std::log(80.0 / 60);
    // It has come only some seconds ago: believed as if it lasted it would be a tenth of the excess more.
    CHECK(trimmed_last > 0.25 * excess);
    CHECK(trimmed_last < 0.35 * excess);
    CHECK(alone_last > 0.65 * excess);
    CHECK(alone_last < 0.75 * excess);
}

TEST_CASE("a burner turned down too far slows the roast") {
    const TargetCurve curve(share(with_moves()));
    BurnerLead lead;
    lead.start(&curve);
    for (int s = 0; s <= 400; ++s)
        lead.add(Tick{s * 1000}, s < 300 ? 80 : s < 390 ? 60 : 45, s > 60 ? s : 60);
    BurnerLead::PendingMoves none;
    auto path = lead.path(400, none, false);
    REQUIRE(path);
    for (int i = 0; i < 3; ++i) CHECK(path->next() < -0.02);
}

TEST_CASE("without a burner reading, or a target, nothing is said of it") {
    const TargetCurve curve(share(with_moves()));
    BurnerLead lead;
    lead.start(&curve);
    BurnerLead::PendingMoves none;
    CHECK_FALSE(lead.path(300, none, false));
    lead.add(Tick{0}, std::nullopt, 300);
    CHECK_FALSE(lead.path(300, none, false));
    lead.start(nullptr);
    lead.add(Tick{0}, 80, std::nullopt);
    CHECK_FALSE(lead.path(300, none, false));
}
