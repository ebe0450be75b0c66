#include "rerun/source_roast.hpp"

#include <fmt/format.h>

#include "core/words.hpp"
#include "rerun/rerun.hpp"

namespace drumwatch {
namespace {

constexpr double kBefore_s = 20;  // before the charge, for the drum's temperature and the first levels
constexpr double kLongestGap_s = 15;
constexpr double kHottestBean_c =
    300;  // a hot empty drum may read more, coffee that has been in it a minute never
constexpr double kCoffeeFrom_s = 60;
constexpr double kShortest_s = 60;
constexpr std::int64_t kMarkedLate_ms = 15'000;

double since(const RoastRow& row, Tick charge) {
    return static_cast<double>(row.elapsed_ms - charge.ms) / 1000;
}

LevelUnit level_unit(Unit unit) {
    if (unit == Unit::percent) return LevelUnit::percent;
    return unit == Unit::kilopascal ? LevelUnit::kilopascal : LevelUnit::step;
}

std::optional<Error> complaint_about(const std::vector<TargetPoint>& bean, double drop_s) {
    double last_s = 0;
    for (const TargetPoint& point : bean) {
        if (point.t_s < 0) continue;
        if (point.bean_c > kHottestBean_c && point.t_s > kCoffeeFrom_s)
            return Error{
                fmt::format("bean temperature {:g} °C at {:.0f} s: this looks like degrees Fahrenheit; the "
                            "column's name would be bean_f",
                            point.bean_c, point.t_s)};
        if (point.t_s - last_s > kLongestGap_s) break;
        last_s = point.t_s;
    }
    if (drop_s - last_s <= kLongestGap_s) return std::nullopt;
    return Error{fmt::format("no bean reading for more than {:g} s from {:.0f} s after the charge on",
                             kLongestGap_s, last_s)};
}

/// People mark a drop when their hands are free again. What the emptied drum showed by then is no coffee's,
/// so where the curve shows that it broke away shortly before, that counts.
void end_where_the_curve_breaks(const RoastFile& file, RerunResult& result) {
    auto& drop = result.milestones[static_cast<std::size_t>(Milestone::drop)];
    if (!drop || drop->source != MarkSource::mark) return;
    RerunOptions by_curve;
    by_curve.ignore_marks = true;
    const auto seen = rerun(file, by_curve).milestones[static_cast<std::size_t>(Milestone::drop)];
    if (seen && seen->at < drop->at && drop->at - seen->at <= kMarkedLate_ms) drop = seen;
}

/// A target needs a whole roast.
std::optional<Error> complaint_about(const RerunResult& result) {
    const auto at = [&](Milestone which) { return result.milestones[static_cast<std::size_t>(which)]; };
    if (!result.charged) return Error{"no charge: none is marked, and the bean temperature shows none"};
    const auto drop = at(Milestone::drop);
    if (!drop) return Error{"no drop: none is marked, and the bean temperature shows none"};
    const double drop_s = seconds_between(result.charge, drop->at);
    const auto crack = at(Milestone::first_crack);
    const bool before_crack = crack && crack->source == MarkSource::mark && crack->at > drop->at;
    if (drop_s >= kShortest_s && !before_crack) return std::nullopt;
    return Error{fmt::format("the drop at {} after the charge is {} ({}): mark the right one",
                             minutes_seconds(drop_s), before_crack ? "before the first crack" : "too early",
                             name(drop->source))};
}

class Taking {
  public:
    Taking(const RoastFile& file, const RerunResult& result, std::size_t bean)
        : file_(file), result_(result), bean_(bean) {}

    Result<SourceRoast> run(const std::string& name) {
        roast_.name = name;
        for (std::size_t i = 0; i < kMilestones; ++i) {
            const auto& milestone = result_.milestones[i];
            if (milestone && counts(static_cast<Milestone>(i), *milestone))
                roast_.milestones_s[i] = seconds_between(result_.charge, milestone->at);
        }
        roast_.milestones_s[static_cast<std::size_t>(Milestone::charge)] = 0;
        roast_.bean = points(bean_);
        if (const auto exhaust = find_role(file_.channels, Role::exhaust)) roast_.exhaust = points(*exhaust);
        add_levels(Control::burner, Role::burner);
        add_levels(Control::airflow, Role::airflow);
        if (auto error = complaint_about(roast_.bean, roast_.drop_s())) return *error;
        return std::move(roast_);
    }

  private:
    /// Yellow and the cracks are what a person saw and heard; found by a temperature they are guesses.
    static bool counts(Milestone which, const MilestoneAt& found) {
        const bool seen_or_heard =
            which == Milestone::yellow || which == Milestone::first_crack || which == Milestone::second_crack;
        return !seen_or_heard || found.source == MarkSource::mark;
    }
    bool is_part(const RoastRow& row) const {
        return since(row, result_.charge) >= -kBefore_s && since(row, result_.charge) <= roast_.drop_s();
    }
    std::vector<TargetPoint> points(std::size_t channel) const {
        std::vector<TargetPoint> points;
        for (const RoastRow& row : file_.rows)
            if (is_part(row) && row.values[channel])
                points.push_back({since(row, result_.charge), from_milli(*row.values[channel])});
        return points;
    }
    void add_levels(Control control, Role role) {
        const auto channel = find_role(file_.channels, role);
        if (!channel) return;
        ControlTrack& track = roast_.controls[static_cast<std::size_t>(control)];
        track.unit = level_unit(file_.channels[*channel].unit);
        for (const TargetPoint& point : points(*channel)) track.readings.push_back({point.t_s, point.bean_c});
    }

    const RoastFile& file_;
    const RerunResult& result_;
    std::size_t bean_;
    SourceRoast roast_;
};

}  // namespace

Result<SourceRoast> source_roast(const RoastFile& file, const std::string& name) {
    const auto bean = find_role(file.channels, Role::bean);
    if (!bean) return Error{name + ": no bean temperature"};
    RerunResult result = rerun(file, {});
    if (!result.charged)
        return Error{name + ": no charge: none is marked, and the bean temperature shows none"};
    if (auto error = complaint_about(result)) return Error{name + ": " + error->message};
    end_where_the_curve_breaks(file, result);
    auto roast = Taking(file, result, *bean).run(name);
    if (!roast) return Error{name + ": " + roast.error()};
    return roast;
}

}  // namespace drumwatch
