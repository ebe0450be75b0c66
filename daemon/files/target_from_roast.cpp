#include "files/target_from_roast.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace drumwatch {
namespace {

constexpr std::int64_t kLongestGap_ms = 15'000;
constexpr std::int64_t kLongestRoast_ms = 7'200'000;
/// Hotter coffee burns.
constexpr double kBurntCoffee_c = 300;
/// A smaller change is the noise of a sensor (judgement, no source).
constexpr double kSmallestMove = 1.0;
/// A valve that travels is one move: later changes within this time only correct its level.
constexpr std::int64_t kMoveSettles_ms = 10'000;

struct Stretch {
    std::int64_t charge_ms = 0;
    std::int64_t drop_ms = 0;
};

struct CurvePoint {
    std::int64_t ms;
    double value;
};

Result<std::int64_t> only_mark(const RoastFile& roast, Milestone milestone) {
    std::optional<std::int64_t> at_ms;
    for (const RoastRow& row : roast.rows) {
        if (row.mark != milestone) continue;
        if (at_ms)
            return Error{fmt::format("more than one \"{}\" mark: which one is meant?", name(milestone))};
        at_ms = row.elapsed_ms;
    }
    if (!at_ms) return Error{fmt::format("no \"{}\" in the column \"mark\"", name(milestone))};
    return *at_ms;
}

Result<Stretch> stretch_of(const RoastFile& roast) {
    const auto charge = only_mark(roast, Milestone::charge);
    if (!charge) return Error{charge.error()};
    const auto drop = only_mark(roast, Milestone::drop);
    if (!drop) return Error{drop.error()};
    const std::int64_t length_ms = drop.value() - charge.value();
    if (length_ms < 2000) return Error{"the drop mark must come at least two seconds after the charge mark"};
    if (length_ms > kLongestRoast_ms) return Error{"more than two hours from charge to drop"};
    return Stretch{charge.value(), drop.value()};
}

/// Good readings of a channel, one reading before the charge and one after the drop included.
std::vector<CurvePoint> curve_of(const RoastFile& roast, std::size_t channel, const Stretch& stretch) {
    std::vector<CurvePoint> curve;
    for (const RoastRow& row : roast.rows) {
        if (!row.values[channel]) continue;
        const CurvePoint point{row.elapsed_ms, from_milli(*row.values[channel])};
        if (point.ms <= stretch.charge_ms) curve.clear();
        if (!curve.empty() && curve.back().ms == point.ms) curve.pop_back();
        curve.push_back(point);
        if (point.ms >= stretch.drop_ms) break;
    }
    return curve;
}

/// Walks forward only: `from` remembers the place between calls.
double value_at(const std::vector<CurvePoint>& curve, std::int64_t ms, std::size_t& from) {
    while (from + 1 < curve.size() && curve[from + 1].ms <= ms) ++from;
    const CurvePoint& a = curve[from];
    if (ms <= a.ms || from + 1 == curve.size()) return a.value;
    const CurvePoint& b = curve[from + 1];
    return a.value + (b.value - a.value) * static_cast<double>(ms - a.ms) / static_cast<double>(b.ms - a.ms);
}

double rounded(double value) { return std::round(value * 1000) / 1000; }

/// The last reading is the drop's.
std::optional<Error> looks_fahrenheit(const std::vector<CurvePoint>& curve) {
    if (curve.back().value <= kBurntCoffee_c) return std::nullopt;
    return Error{fmt::format(
        "dropped at {:g} °C; this looks like degrees Fahrenheit: the column's name would be bean_f",
        curve.back().value)};
}

std::optional<Error> complaint_about(const std::vector<CurvePoint>& curve, const Stretch& stretch) {
    const auto far_apart = [](std::int64_t a_ms, std::int64_t b_ms) { return b_ms - a_ms > kLongestGap_ms; };
    if (curve.empty()) return Error{"no bean reading between charge and drop"};
    std::int64_t last_ms = stretch.charge_ms;
    for (const CurvePoint& point : curve) {
        if (far_apart(last_ms, point.ms)) break;
        last_ms = std::max(last_ms, point.ms);
    }
    if (!far_apart(last_ms, stretch.drop_ms) && last_ms >= stretch.charge_ms) return looks_fahrenheit(curve);
    return Error{fmt::format("no bean reading for more than {} s from {} s on: not a curve to follow",
                             kLongestGap_ms / 1000, static_cast<double>(last_ms) / 1000)};
}

void add_points(Target& target, const std::vector<CurvePoint>& curve, const Stretch& stretch) {
    std::size_t from = 0;
    for (std::int64_t ms = stretch.charge_ms; ms < stretch.drop_ms; ms += 1000) {
        target.points.push_back(
            {static_cast<double>(ms - stretch.charge_ms) / 1000, rounded(value_at(curve, ms, from))});
    }
    target.points.push_back({static_cast<double>(stretch.drop_ms - stretch.charge_ms) / 1000,
                             rounded(value_at(curve, stretch.drop_ms, from))});
}

void add_milestones(Target& target, const RoastFile& roast, const std::vector<CurvePoint>& curve,
                    const Stretch& stretch) {
    std::size_t from = 0;
    for (const RoastRow& row : roast.rows) {
        if (!row.mark || row.elapsed_ms < stretch.charge_ms || row.elapsed_ms > stretch.drop_ms) continue;
        auto& milestone = target.milestones[static_cast<std::size_t>(*row.mark)];
        if (milestone) continue;
        milestone = TargetMilestone{static_cast<double>(row.elapsed_ms - stretch.charge_ms) / 1000,
                                    rounded(value_at(curve, row.elapsed_ms, from))};
    }
}

LevelUnit level_unit(Unit unit) {
    if (unit == Unit::percent) return LevelUnit::percent;
    return unit == Unit::kilopascal ? LevelUnit::kilopascal : LevelUnit::step;
}

void add_moves(Target& target, const RoastFile& roast, Control control, Role role, const Stretch& stretch) {
    const auto channel = find_role(roast.channels, role);
    if (!channel) return;
    const auto curve = curve_of(roast, *channel, stretch);
    if (curve.empty()) return;
    double level = curve.front().value;
    std::int64_t changed_ms = stretch.charge_ms - kMoveSettles_ms - 1;
    for (const CurvePoint& point : curve) {
        if (point.ms > stretch.drop_ms || std::fabs(point.value - level) < kSmallestMove) continue;
        level = point.value;
        if (point.ms - changed_ms <= kMoveSettles_ms) {
            target.moves.back().to = level;
            continue;
        }
        changed_ms = point.ms;
        const double at_s = static_cast<double>(point.ms - stretch.charge_ms) / 1000;
        target.moves.push_back(
            {control, level, level_unit(roast.channels[*channel].unit), {TriggerKind::at_s, at_s}});
    }
}

std::string name_of(const std::string& path) {
    std::string stem = std::filesystem::path(path).filename().string();
    for (const std::string_view end : {".gz", ".csv"}) {
        if (stem.size() > end.size() && stem.compare(stem.size() - end.size(), end.size(), end) == 0) {
            stem.resize(stem.size() - end.size());
        }
    }
    return stem;
}

}  // namespace

Result<Target> target_from_roast(const RoastFile& roast, const std::string& path,
                                 const Tolerance& tolerance) {
    const auto stretch = stretch_of(roast);
    if (!stretch) return Error{path + " as a target: " + stretch.error()};
    const auto bean = find_role(roast.channels, Role::bean);
    if (!bean) return Error{path + " as a target: no bean temperature"};
    const auto curve = curve_of(roast, *bean, stretch.value());
    if (const auto error = complaint_about(curve, stretch.value())) {
        return Error{path + " as a target: " + error->message};
    }
    Target target;
    target.name = name_of(path);
    target.tolerance = tolerance;
    add_points(target, curve, stretch.value());
    add_milestones(target, roast, curve, stretch.value());
    add_moves(target, roast, Control::burner, Role::burner, stretch.value());
    add_moves(target, roast, Control::airflow, Role::airflow, stretch.value());
    std::stable_sort(target.moves.begin(), target.moves.end(),
                     [](const PlannedMove& a, const PlannedMove& b) { return a.when.value < b.when.value; });
    target.drop = Trigger{TriggerKind::bean_c, target.points.back().bean_c};
    return target;
}

}  // namespace drumwatch
