// How well milestones and the forecast of first crack do on made roasts, batch after batch on each site, with
// what earlier batches taught. Sites with odd seeds are for tuning, even ones are held back.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

namespace drumwatch {

/// Mean of the sizes; NAN of nothing.
double mean_size(const std::vector<double>& values);
/// Of the sizes, that which `share` of them do not exceed; NAN of nothing.
double size_quantile(std::vector<double> values, double share);

/// What is known `before_s` seconds before the true crack.
struct LeadFigures {
    double before_s = 0;
    std::vector<double> error_s{};  ///< forecast minus crack
    /// The same of a perfect forecast of the probe, with first crack expected at the mean of the site's
    /// earlier crack temperatures.
    std::vector<double> floor_s{};
    std::vector<double> plain_s{};  ///< the same of the target, shifted in time to the present temperature
    std::vector<double> width_s{};
    int covered = 0;  ///< the mark as filed lay within the interval
    int none = 0;     ///< no forecast

    double of_floor() const { return mean_size(error_s) / mean_size(floor_s); }
    double bias_s() const;
    double mean_width_s() const { return mean_size(width_s); }
    double covered_share() const;
};

struct MilestoneFigures {
    const char* name;
    std::vector<double> off_s{};  ///< found minus true
    int missed = 0;               ///< or more than 15 s off
};

struct CrackFigures {
    int batches = 0;
    std::array<MilestoneFigures, 3> milestones{{{"charge"}, {"turning point"}, {"drop"}}};
    std::array<LeadFigures, 4> leads{{{180}, {120}, {60}, {30}}};
    // How much the forecast moves about in the last three minutes:
    std::vector<double> moved;      ///< sum of its changes over the time, s/s, one a batch
    std::vector<double> changed_s;  ///< its changes within 10 s
};

void measure_cracks(std::uint64_t site_seed, int batches, CrackFigures& figures);

}  // namespace drumwatch
