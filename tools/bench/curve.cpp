// How well milestones and forecast do on roasts that they were not tuned on (tests/support/made_roasts),
// batch after batch on each site, with what earlier batches taught. Sites with odd seeds are for tuning, even
// ones are held back. `bench_curve [SITES [BATCHES [tuning|held]]]`
//
// Floor: a perfect forecast of the probe, with first crack expected at the mean of the site's earlier
// crack temperatures. Plain: the target, shifted in time to the present temperature.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <vector>

#include "core/milli.hpp"
#include "rerun/rerun.hpp"
#include "roast/forecast/learning.hpp"
#include "support/made_roasts/batch.hpp"

namespace drumwatch {
namespace {

constexpr std::array kLeads_s = {180, 120, 60, 30};

double quantile(std::vector<double> values, double share) {
    if (values.empty()) return NAN;
    std::sort(values.begin(), values.end());
    return values[std::min(values.size() - 1,
                           static_cast<std::size_t>(share * static_cast<double>(values.size())))];
}
double mean(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return values.empty() ? NAN : sum / static_cast<double>(values.size());
}
std::vector<double> sizes(std::vector<double> values) {
    for (double& value : values) value = std::fabs(value);
    return values;
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

struct Lead {
    std::vector<double> error_s;  ///< forecast minus crack
    std::vector<double> floor_s;
    std::vector<double> plain_s;
    std::vector<double> width_s;
    int covered = 0;
    int none = 0;
};

/// How much a forecast moves about in the last three minutes: the sum of its changes over the time, and its
/// changes within 10 s.
struct Steadiness {
    std::vector<double> moved;      ///< s per s, one a batch
    std::vector<double> changed_s;  ///< within 10 s
    void add(const std::vector<ForecastAt>& forecasts, double crack_file_s) {
        double moved_s = 0;
        double over_s = 0;
        for (std::size_t i = 1; i < forecasts.size(); ++i) {
            if (forecasts[i].file_s < crack_file_s - 180 || forecasts[i].file_s > crack_file_s) continue;
            moved_s += std::fabs(forecasts[i].at_s - forecasts[i - 1].at_s);
            over_s += forecasts[i].file_s - forecasts[i - 1].file_s;
            if (i >= 10) changed_s.push_back(std::fabs(forecasts[i].at_s - forecasts[i - 10].at_s));
        }
        if (over_s > 0) moved.push_back(moved_s / over_s);
    }
};

struct Found {
    std::vector<double> off_s;
    int missed = 0;
};

class Measuring {
  public:
    void site(std::uint64_t seed, int batches) {
        const Site site = made_site(seed);
        const TargetCurve curve(std::make_shared<const Target>(site.target));
        Lessons lessons;
        std::vector<double> cracks_c;  // true ones
        for (int number = 0; number < batches; ++number) {
            const MadeBatch made = made_batch(site, plan_of(site, seed, number));
            RerunOptions options;
            options.target = std::make_shared<const Target>(site.target);
            options.lessons = lessons;
            const RerunResult result = rerun(made.file, options);
            ++batches_;
            look(site, made.truth, result, cracks_c);
            if (made.truth.crack_s > 0) cracks_c.push_back(made.truth.crack_c);
            if (const auto lesson = lesson_of(result.milestones, &curve)) lessons = learned(lessons, *lesson);
        }
    }

    void print() const {
        fmt::print("{} batches\n", batches_);
        fmt::print("steadiness: moves {:.2f} s a second (median batch), changes {:.1f} s in 10 s (95 %)\n",
                   quantile(steadiness_.moved, 0.5), quantile(steadiness_.changed_s, 0.95));
        for (std::size_t i = 0; i < found_.size(); ++i) {
            const char* names[] = {"charge", "turning point", "drop"};
            fmt::print("{:<14} median {:.2f} s, 95 % {:.2f} s, missed or more than 15 s off {}\n", names[i],
                       quantile(sizes(found_[i].off_s), 0.5), quantile(sizes(found_[i].off_s), 0.95),
                       found_[i].missed);
        }
        for (std::size_t i = 0; i < kLeads_s.size(); ++i) {
            const Lead& lead = leads_[i];
            const double error = mean(sizes(lead.error_s));
            const double floor = mean(sizes(lead.floor_s));
            fmt::print(
                "{:>4} s before: error {:.1f} s (floor {:.1f}, {:.2f} of it; plain {:.1f}), bias {:+.1f}, 90 "
                "% "
                "{:.1f}, interval holds {:.0f} %, {:.0f} s wide, none {}\n",
                kLeads_s[i], error, floor, error / floor, mean(sizes(lead.plain_s)), mean(lead.error_s),
                quantile(sizes(lead.error_s), 0.9),
                100.0 * lead.covered / static_cast<double>(std::max<std::size_t>(1, lead.error_s.size())),
                mean(lead.width_s), lead.none);
        }
    }

  private:
    void look(const Site& site, const BatchTruth& truth, const RerunResult& result,
              const std::vector<double>& cracks_c) {
        const double charge_s = static_cast<double>(result.charge.ms) / 1000;
        const auto at = [&](Milestone which) -> std::optional<double> {
            const auto& milestone = result.milestones[static_cast<std::size_t>(which)];
            if (!milestone || !result.charged) return std::nullopt;
            return static_cast<double>(milestone->at.ms) / 1000 - truth.charge_s;
        };
        note(0, at(Milestone::charge), 0);
        note(1, at(Milestone::turning_point), truth.turning_point_s);
        note(2, at(Milestone::drop), truth.drop_s);
        if (truth.crack_s <= 0) return;
        steadiness_.add(result.forecasts, truth.charge_s + truth.crack_s);
        for (std::size_t i = 0; i < kLeads_s.size(); ++i)
            lead(leads_[i], kLeads_s[i], site, truth, result, charge_s, cracks_c);
    }
    void note(std::size_t which, std::optional<double> found_s, double true_s) {
        if (!found_s || std::fabs(*found_s - true_s) > 15) {
            ++found_[which].missed;
        } else {
            found_[which].off_s.push_back(*found_s - true_s);
        }
    }
    static void lead(Lead& lead, int lead_s, const Site& site, const BatchTruth& truth,
                     const RerunResult& result, double charge_s, const std::vector<double>& cracks_c) {
        const double now_s = truth.crack_s - lead_s;
        const double expected_c =
            !cracks_c.empty()
                ? mean(cracks_c)
                : *site.target.milestones[static_cast<std::size_t>(Milestone::first_crack)]->bean_c;
        const ForecastAt* newest = nullptr;
        for (const ForecastAt& forecast : result.forecasts)
            if (forecast.file_s - truth.charge_s <= now_s) newest = &forecast;
        if (newest == nullptr || now_s - (newest->file_s - truth.charge_s) > 3) {
            ++lead.none;
            return;
        }
        const double shift_s = charge_s - truth.charge_s;
        lead.error_s.push_back(newest->at_s + shift_s - truth.crack_s);
        lead.width_s.push_back(newest->high_s - newest->low_s);
        const double tapped_s = truth.tapped_s > 0 ? truth.tapped_s : truth.crack_s;
        if (newest->low_s + shift_s <= tapped_s && tapped_s <= newest->high_s + shift_s) ++lead.covered;
        const double floor_s = reached_s(truth, expected_c);
        if (!std::isnan(floor_s)) lead.floor_s.push_back(std::max(floor_s, now_s) - truth.crack_s);
        const double present_c = truth.probe_c[static_cast<std::size_t>(std::max(0.0, now_s))];
        const double plain_s =
            now_s + target_s(site.target, expected_c) - target_s(site.target, present_c) - truth.crack_s;
        if (!std::isnan(plain_s)) lead.plain_s.push_back(plain_s);
    }

    std::array<Lead, kLeads_s.size()> leads_;
    std::array<Found, 3> found_;
    Steadiness steadiness_;
    int batches_ = 0;
};

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    const int sites = argc > 1 ? std::atoi(argv[1]) : 20;
    const int batches = argc > 2 ? std::atoi(argv[2]) : 15;
    const bool held = argc > 3 && std::strcmp(argv[3], "held") == 0;
    drumwatch::Measuring measuring;
    for (int i = 0; i < sites; ++i)
        measuring.site(static_cast<std::uint64_t>(2 * i + (held ? 2 : 1)), batches);
    measuring.print();
}
