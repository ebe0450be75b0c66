// The alarms on whole made days, all rules on their defaults: two hundred good roasts, and more than two
// hundred with one trouble each. Stations with even seeds, on which nothing was tuned; bench_alarms prints
// the table, and measures the others.
#include <doctest/doctest.h>

#include <algorithm>

#include "support/made_roasts/alarm_figures.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr int kStations = 3;  // sanitizers look for other things
#else
constexpr int kStations = 20;
#endif

MadeStation station(int i) { return made_station(static_cast<std::uint64_t>(2 * i + 2)); }

double worst(const std::vector<double>& values) { return *std::max_element(values.begin(), values.end()); }
double best(const std::vector<double>& values) { return *std::min_element(values.begin(), values.end()); }

}  // namespace

TEST_CASE("good roasts: at most one alarm in ten of them, and none is high") {
    GoodFigures good;
    int trays = 0, oxidisers = 0, monoxide = 0, limits = 0, tapped = 0;
    for (int i = 0; i < kStations; ++i) {
        const MadeStation here = station(i);
        trays += here.kit.tray;
        oxidisers += here.kit.oxidiser;
        monoxide += here.kit.carbon_monoxide;
        limits += here.kit.limits_set;
        tapped += !here.kit.controls_read;
        listen_to_good(here, good);
    }
    MESSAGE("even seeds 2 to ", 2 * kStations, ": ", good.alarms, " alarms in ", good.with_alarm, " of ",
            good.roasts, " roasts; ", good.turned_away, " turned away");
    CHECK(good.roasts == kStations * kBatchesADay);
    CHECK(good.not_seen == 0);
    CHECK(good.alarms <= good.roasts / 10);
    CHECK(good.high == 0);
    // It was listened to something: a generator whose roasts are all turned away, or that needs no prompts,
    // would prove nothing.
    CHECK(good.turned_away < good.roasts / 2);
    CHECK(good.prompts[static_cast<std::size_t>(PromptKind::move_due)] > 2 * good.roasts);
    CHECK(good.prompts[static_cast<std::size_t>(PromptKind::outside_corridor)] > good.roasts / 10);
    if (kStations < 20) return;
    for (const int kits : {trays, oxidisers, monoxide, limits, tapped}) CHECK(kits >= 4);
}

TEST_CASE("one trouble in each roast: found, once, under its right name, in its time") {
    int days = 0, besides = 0;
    std::array<TroubleFigures, kTroubles> troubled;
    for (int i = 0; i < kStations; ++i) {
        const MadeStation here = station(i);
        for (int kind = 0; kind < kTroubles; ++kind)
            listen_to_trouble(here, static_cast<Trouble>(kind), troubled[static_cast<std::size_t>(kind)]);
    }
    for (int kind = 0; kind < kTroubles; ++kind) {
        const auto trouble = static_cast<Trouble>(kind);
        const TroubleFigures& got = troubled[static_cast<std::size_t>(kind)];
        CAPTURE(name(trouble));
        CAPTURE(2 * kStations);  // the largest seed
        CHECK(got.days == kStations);
        CHECK(got.found == got.days);
        CHECK(got.in_time == got.days);
        CHECK(got.once == got.days);
        CHECK(got.first_right == got.days);
        CHECK(got.high_before == 0);
        CHECK(best(got.after_truth_s) >= 0);
        days += got.days;
        besides += got.before + got.strange;
    }
    CHECK(besides <= days / 10);  // as in good roasts
    const auto& late = troubled[static_cast<std::size_t>(Trouble::late_move)];
    CHECK(late.drift_due > late.days / 3);
    CHECK(late.drift_right >= late.days - 2);
    // Sooner would be a guess: three readings, ten seconds of the same one, three seconds above the limit.
    const auto soonest = [&](Trouble trouble) {
        return best(troubled[static_cast<std::size_t>(trouble)].after_truth_s);
    };
    CHECK(soonest(Trouble::open_probe) >= 0.5);
    CHECK(soonest(Trouble::frozen_probe) >= 7);
    CHECK(worst(troubled[static_cast<std::size_t>(Trouble::leap)].after_onset_s) < 22);
}
