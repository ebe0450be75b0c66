#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "roast/milestones/milestones.hpp"
#include "support/roast_curve.hpp"

using namespace drumwatch;

namespace {

BeanPoint point_of(const RoastRow& row) { return {Tick{row.elapsed_ms}, from_milli(*row.values[0])}; }

std::vector<Found> charges_in(const RoastFile& file) {
    ChargeDetector detector;
    std::vector<Found> found;
    for (const RoastRow& row : file.rows) {
        if (const auto charge = detector.add(point_of(row))) found.push_back(*charge);
        if (!found.empty() && row.elapsed_ms > found[0].at.ms + 300'000)
            break;  // nobody looks for a charge in a roast
    }
    return found;
}

RoastFile swinging(double middle_c, double swing_c, double period_s) {
    RoastFile file;
    for (int i = 0; i < 4 * 600; ++i) {
        RoastRow row;
        row.elapsed_ms = i * 250;
        row.values = {to_milli(middle_c + swing_c * std::sin(i * 0.25 * 2 * 3.14159265 / period_s))};
        file.rows.push_back(row);
    }
    return file;
}

/// A hot empty drum whose door is opened after 60 s: the reading makes for a colder one, as first-order lags
/// do.
RoastFile opened_door(double level_c, double colder_c, double lag_s) {
    RoastFile file;
    for (int i = 0; i < 4 * 90; ++i) {
        RoastRow row;
        row.elapsed_ms = i * 250;
        const double open_s = i * 0.25 - 60;
        row.values = {to_milli(level_c - (open_s > 0 ? colder_c * (1 - std::exp(-open_s / lag_s)) : 0))};
        file.rows.push_back(row);
    }
    return file;
}

double percentile(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

}  // namespace

TEST_CASE("charge, turning point and drop over machines, rates and noise") {
    std::vector<double> charge_errors, turning_errors, drop_errors;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        CAPTURE(seed);
        TestRandom random(seed * 977);
        CurveShape shape;
        shape.seed = seed;
        shape.charge_c = random.uniform(165, 230);
        shape.lag_s = random.uniform(10, 40);
        shape.time_constant_s = random.uniform(200, 380);
        shape.heat_c = random.uniform(225, 245);
        shape.drop_s = random.uniform(520, 800);
        const double steps[] = {0.1, 0.25, 0.5, 1.0};
        shape.step_s = steps[seed % 4];
        shape.noise_c = random.uniform(0.03, 0.15);
        const RoastFile file = roast_file(shape);
        const auto charges = charges_in(file);
        REQUIRE(charges.size() == 1);
        charge_errors.push_back(std::fabs(static_cast<double>(charges[0].at.ms) / 1000 - shape.idle_s));

        TurningPointDetector turning;
        DropDetector drop;
        turning.start(charges[0].at);
        drop.start(charges[0].at);
        std::optional<Found> turned, dropped;
        for (const RoastRow& row : file.rows) {
            if (row.elapsed_ms <= charges[0].at.ms) continue;
            if (const auto found = turning.add(point_of(row))) turned = found;
            if (const auto found = drop.add(point_of(row)); found && !dropped) dropped = found;
        }
        REQUIRE(turned);
        REQUIRE(dropped);
        const auto curve = true_curve(shape);
        const auto before_drop =
            std::find_if(curve.begin(), curve.end(), [&](const CurvePoint& p) { return p.t_s > 400; });
        const auto lowest =
            std::min_element(curve.begin(), before_drop,
                             [](const CurvePoint& a, const CurvePoint& b) { return a.bean_c < b.bean_c; });
        turning_errors.push_back(
            std::fabs(static_cast<double>(turned->at.ms) / 1000 - shape.idle_s - lowest->t_s));
        drop_errors.push_back(
            std::fabs(static_cast<double>(dropped->at.ms) / 1000 - shape.idle_s - shape.drop_s));
    }
    INFO("95th percentiles, s: charge ", percentile(charge_errors, 0.95), ", turning point ",
         percentile(turning_errors, 0.95), ", drop ", percentile(drop_errors, 0.95));
    CHECK(percentile(charge_errors, 0.95) <= 1.0);
    CHECK(percentile(turning_errors, 0.95) <= 4.0);
    CHECK(percentile(drop_errors, 0.95) <= 1.5);
    CHECK(percentile(charge_errors, 0.5) > 0.001);  // exact would mean that the test looks at itself
}

TEST_CASE("no charge in a preheat swing, an opened door, or the fall after a drop") {
    CHECK(charges_in(swinging(190, 12, 120)).empty());
    CHECK(charges_in(swinging(190, 6, 40)).empty());
    for (const double lag_s : {4.0, 8.0}) {
        CHECK(charges_in(opened_door(200, 56, lag_s)).empty());
        CHECK(charges_in(opened_door(200, 120, lag_s)).size() == 1);  // no door makes it fall so deep
    }
    // A drop, then the emptied drum: only the fall is shown.
    RoastFile after_drop = roast_file({});
    std::erase_if(after_drop.rows,
                  [](const RoastRow& row) { return row.elapsed_ms < 60'000 + 640'000 - 500; });
    CHECK(charges_in(after_drop).empty());
    // ... and the drum heated up again after it.
    for (int i = 0; i < 240; ++i) {
        RoastRow row;
        row.elapsed_ms = after_drop.rows.back().elapsed_ms + 250;
        row.values = {*after_drop.rows.back().values[0] + 300};
        after_drop.rows.push_back(row);
    }
    CHECK(charges_in(after_drop).empty());
    // A file that starts in the middle of a roast.
    RoastFile late = roast_file({});
    std::erase_if(late.rows, [](const RoastRow& row) {
        return row.elapsed_ms < 60'000 + 30'000 || row.elapsed_ms > 600'000;
    });
    CHECK(charges_in(late).empty());
}

TEST_CASE("no drop at a burner move, a dip at first crack, or a single spike") {
    CurveShape shape;
    shape.after_s = 0;
    RoastFile file = roast_file(shape);
    for (RoastRow& row : file.rows) {
        const double t = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
        double dip = 0;
        if (t > 500) dip = 0.05 * std::min(t - 500, 40.0);  // 3 C/min slower for 40 s
        if (row.elapsed_ms == 500'000) dip = 30;            // one wild reading
        row.values[0] = *row.values[0] - *to_milli(dip);
    }
    DropDetector drop;
    drop.start(Tick{60'000});
    for (const RoastRow& row : file.rows) {
        if (row.elapsed_ms > 60'000) CHECK_FALSE(drop.add(point_of(row)));
    }
}

TEST_CASE("coffee that is held back after a fast start is no drum that was emptied again") {
    const auto withdrawn_after_s = [](double level_c, auto truth) {
        ChargeDoubt doubt;
        doubt.start(Tick{0}, level_c);
        for (int i = 0; i < 4 * 300; ++i) {
            const double flicker_c = i % 3 == 0 ? 0.1 : 0;
            if (doubt.add({Tick{i * 250}, truth(i * 0.25) + flicker_c})) return i * 0.25;
        }
        return -1.0;
    };
    // A slow probe that fell from 210 to 140 C in the opened door comes back to 190.
    const double emptied_s = withdrawn_after_s(
        210, [](double t_s) { return t_s < 20 ? 210 - 3.5 * t_s : 190 - 50 * std::exp(-(t_s - 20) / 45); });
    CHECK(emptied_s > 120);
    CHECK(emptied_s < 250);
    // As seen on a made machine: 0.9 C/s at most, and flat from 250 s on.
    CHECK(withdrawn_after_s(214, [](double t_s) {
              return t_s < 33 ? 214 - 130 * t_s / 33
                              : 84 + 104 * (1 - std::exp(-std::pow((t_s - 33) / 90, 1.6)));
          }) == -1);
}

TEST_CASE("a drop is doubted once the curve follows its line for a while, not where it crosses it") {
    // Until the drop the curve rises along the line; then it falls, and comes back to the line.
    const CurveLine line{Tick{600'000}, 210, 0.12};
    for (const double deep_c : {15.0, 30.0}) {
        for (const double follows_s : {8.0, 20.0}) {
            CAPTURE(deep_c);
            CAPTURE(follows_s);
            DropDoubt doubt;
            doubt.start(line, Tick{600'000}, {Tick{601'000}, 208});
            bool doubted = false;
            for (std::int64_t ms = 601'250; ms < 660'000; ms += 250) {
                const double t_s = static_cast<double>(ms - 600'000) / 1000;
                const double back_c = (deep_c - 1.5) * (t_s - 6) / 14;
                const double off_c = t_s < 6 ? -deep_c * t_s / 6 : t_s < 20 ? back_c - deep_c : -1.5;
                const double left_c = t_s > 20 + follows_s ? 3 * (t_s - 20 - follows_s) : 0;
                doubted = doubt.add({Tick{ms}, line.at(Tick{ms}) + off_c - left_c}) || doubted;
            }
            CHECK(doubted == (follows_s > 12 && deep_c < 20));  // no door reaches so deep
        }
    }
}

TEST_CASE("no drop out of a single spike, wherever it stands, at one reading a second") {
    CurveShape shape;
    shape.step_s = 1;
    const RoastFile file = roast_file(shape);
    for (const double spike_c : {-20.0, 20.0}) {
        for (int spike_s = 100; spike_s < 620; spike_s += 3) {
            CAPTURE(spike_c);
            CAPTURE(spike_s);
            DropDetector drop;
            drop.start(Tick{60'000});
            std::optional<Found> found;
            for (const RoastRow& row : file.rows) {
                const double t = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
                if (t <= 0) continue;
                BeanPoint point = point_of(row);
                if (std::fabs(t - spike_s) < 0.5) point.bean_c += spike_c;
                if (const auto now = drop.add(point); now && !found) found = now;
            }
            REQUIRE(found);
            CHECK(std::fabs(static_cast<double>(found->at.ms) / 1000 - shape.idle_s - shape.drop_s) <= 1.5);
        }
    }
}

#ifdef DRUMWATCH_SANITIZED
constexpr int kEach_s = 29;
#else
constexpr int kEach_s = 7;
#endif

TEST_CASE("no drop out of a gap in the readings, however long and wherever it stands") {
    const CurveShape shape;
    const RoastFile file = roast_file(shape);
    for (const int gap_s : {5, 12, 19, 20, 25, 30, 60}) {
        for (int from_s = 150; from_s + gap_s < 560; from_s += kEach_s) {
            CAPTURE(gap_s);
            CAPTURE(from_s);
            DropDetector drop;
            drop.start(Tick{60'000});
            std::optional<Found> found;
            for (const RoastRow& row : file.rows) {
                const double t = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
                if (t <= 0 || (t > from_s && t < from_s + gap_s)) continue;
                if (const auto now = drop.add(point_of(row)); now && !found) found = now;
            }
            REQUIRE(found);
            CHECK(std::fabs(static_cast<double>(found->at.ms) / 1000 - shape.idle_s - shape.drop_s) <= 1.5);
        }
    }
}
