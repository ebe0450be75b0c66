#include "support/made_roasts/crack_figures.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>

#include "rerun/rerun.hpp"
#include "roast/forecast/learning.hpp"
#include "support/made_roasts/batch.hpp"

namespace drumwatch {

namespace {

constexpr double kNewestFor_s = 3;  // an older forecast is none

double mean(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return values.empty() ? NAN : sum / static_cast<double>(values.size());
}

/// Seconds since charge at which the probe first comes to this temperature after the turning point.
double reached_s(const BatchTruth& truth, double temperature_c) {
    for (auto s = static_cast<std::size_t>(truth.turning_point_s); s + 1 < truth.probe_c.size(); ++s) {
        const double rise = truth.probe_c[s + 1] - truth.probe_c[s];
        if (truth.probe_c[s + 1] >= temperature_c && rise > 0)
            return static_cast<double>(s) + (temperature_c - truth.probe_c[s]) / rise;
    }
    return NAN;
}

double target_s(const Target& target, double temperature_c) {
    const double turned_s = target.milestones[static_cast<std::size_t>(Milestone::turning_point)]->at_s;
    for (const TargetPoint& point : target.points)
        if (point.t_s > turned_s && point.bean_c >= temperature_c) return point.t_s;
    return NAN;
}

void add_steadiness(const std::vector<ForecastAt>& forecasts, double crack_file_s, CrackFigures& figures) {
    double moved_s = 0;
    double over_s = 0;
    for (std::size_t i = 1; i < forecasts.size(); ++i) {
        if (forecasts[i].file_s < crack_file_s - 180 || forecasts[i].file_s > crack_file_s) continue;
        moved_s += std::fabs(forecasts[i].at_s - forecasts[i - 1].at_s);
        over_s += forecasts[i].file_s - forecasts[i - 1].file_s;
        if (i >= 10) figures.changed_s.push_back(std::fabs(forecasts[i].at_s - forecasts[i - 10].at_s));
    }
    if (over_s > 0) figures.moved.push_back(moved_s / over_s);
}

void add_milestone(MilestoneFigures& figures, std::optional<double> found_s, double true_s) {
    if (!found_s || std::fabs(*found_s - true_s) > 15) {
        ++figures.missed;
    } else {
        figures.off_s.push_back(*found_s - true_s);
    }
}

void add_milestones(const BatchTruth& truth, const RerunResult& result, CrackFigures& figures) {
    const auto at = [&](Milestone which) -> std::optional<double> {
        const auto& milestone = result.milestones[static_cast<std::size_t>(which)];
        if (!milestone || !result.charged) return std::nullopt;
        return static_cast<double>(milestone->at.ms) / 1000 - truth.charge_s;
    };
    add_milestone(figures.milestones[0], at(Milestone::charge), 0);
    add_milestone(figures.milestones[1], at(Milestone::turning_point), truth.turning_point_s);
    add_milestone(figures.milestones[2], at(Milestone::drop), truth.drop_s);
}

void add_lead(LeadFigures& lead, const Target& target, const BatchTruth& truth, const RerunResult& result,
              double expected_c) {
    const double now_s = truth.crack_s - lead.before_s;
    const ForecastAt* newest = nullptr;
    for (const ForecastAt& forecast : result.forecasts)
        if (forecast.file_s - truth.charge_s <= now_s) newest = &forecast;
    if (newest == nullptr || now_s - (newest->file_s - truth.charge_s) > kNewestFor_s) {
        ++lead.none;
        return;
    }
    const double shift_s = static_cast<double>(result.charge.ms) / 1000 - truth.charge_s;
    lead.error_s.push_back(newest->at_s + shift_s - truth.crack_s);
    lead.width_s.push_back(newest->high_s - newest->low_s);
    const double tapped_s = truth.tapped_s > 0 ? truth.tapped_s : truth.crack_s;
    if (newest->low_s + shift_s <= tapped_s && tapped_s <= newest->high_s + shift_s) ++lead.covered;
    const double floor_s = reached_s(truth, expected_c);
    if (!std::isnan(floor_s)) lead.floor_s.push_back(std::max(floor_s, now_s) - truth.crack_s);
    const double present_c = truth.probe_c[static_cast<std::size_t>(std::max(0.0, now_s))];
    const double plain_s = now_s + target_s(target, expected_c) - target_s(target, present_c) - truth.crack_s;
    if (!std::isnan(plain_s)) lead.plain_s.push_back(plain_s);
}

}  // namespace

double mean_size(const std::vector<double>& values) {
    std::vector<double> sizes;
    for (const double value : values) sizes.push_back(std::fabs(value));
    return mean(sizes);
}

double size_quantile(std::vector<double> values, double share) {
    if (values.empty()) return NAN;
    for (double& value : values) value = std::fabs(value);
    std::sort(values.begin(), values.end());
    return values[std::min(values.size() - 1,
                           static_cast<std::size_t>(share * static_cast<double>(values.size())))];
}

double LeadFigures::bias_s() const { return mean(error_s); }

double LeadFigures::covered_share() const {
    return error_s.empty() ? NAN : static_cast<double>(covered) / static_cast<double>(error_s.size());
}

void measure_cracks(std::uint64_t site_seed, int batches, CrackFigures& figures) {
    const Site site = made_site(site_seed);
    RerunOptions options;
    options.target = std::make_shared<const Target>(site.target);
    const TargetCurve curve(options.target);
    std::vector<double> cracks_c;  // true ones
    for (int number = 0; number < batches; ++number) {
        const MadeBatch made = made_batch(site, plan_of(site, site_seed, number));
        const BatchTruth& truth = made.truth;
        const RerunResult result = rerun(made.file, options);
        ++figures.batches;
        add_milestones(truth, result, figures);
        if (truth.crack_s > 0) {
            add_steadiness(result.forecasts, truth.charge_s + truth.crack_s, figures);
            const double expected_c =
                !cracks_c.empty()
                    ? mean(cracks_c)
                    : *site.target.milestones[static_cast<std::size_t>(Milestone::first_crack)]->bean_c;
            for (LeadFigures& lead : figures.leads) add_lead(lead, site.target, truth, result, expected_c);
            cracks_c.push_back(truth.crack_c);
        }
        if (const auto lesson = lesson_of(result.milestones, &curve))
            options.lessons = learned(options.lessons, *lesson);
    }
}

}  // namespace drumwatch
