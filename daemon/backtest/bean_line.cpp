#include "backtest/bean_line.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/line_fit.hpp"
#include "core/milli.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kNewest = 5;
constexpr double kSpike_c = 5;
constexpr double kNear_s = 5;
constexpr double kCarriedOn_s = 30;
constexpr double kLookStep_s = 0.5;

double median_of(std::array<double, kNewest> values, std::size_t count) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(count / 2);
    std::nth_element(values.begin(), middle, values.begin() + static_cast<std::ptrdiff_t>(count));
    return *middle;
}

/// Of the part from its lowest reading on; empty where there is none.
std::optional<double> lowest_at(const std::vector<BeanReading>& readings, const RoastStretch& roast) {
    std::optional<BeanReading> lowest;
    for (const BeanReading& reading : readings) {
        if (reading.t_s < roast.charge_s || reading.t_s > roast.drop_s) continue;
        if (!lowest || reading.bean_c < lowest->bean_c) lowest = reading;
    }
    return lowest ? std::optional(lowest->t_s) : std::nullopt;
}

std::optional<double> carried_on(const std::vector<BeanReading>& readings, double drop_s, double bean_c) {
    const auto line = bean_line(readings, drop_s - kCarriedOn_s, drop_s);
    if (!line || line->rise_c_s <= 0) return std::nullopt;
    return std::max(drop_s, line->t_s + (bean_c - line->bean_c) / line->rise_c_s);
}

}  // namespace

std::vector<BeanReading> bean_readings(const RoastFile& file) {
    std::vector<BeanReading> kept;
    const auto bean = find_role(file.channels, Role::bean);
    if (!bean) return kept;
    kept.reserve(file.rows.size());
    std::array<double, kNewest> newest{};
    std::size_t seen = 0;
    for (const RoastRow& row : file.rows) {
        if (*bean >= row.values.size() || !row.values[*bean]) continue;
        const double bean_c = from_milli(*row.values[*bean]);
        newest[seen++ % kNewest] = bean_c;
        if (std::fabs(bean_c - median_of(newest, std::min(seen, kNewest))) > kSpike_c) continue;
        kept.push_back({static_cast<double>(row.elapsed_ms) / 1000, bean_c});
    }
    return kept;
}

std::optional<BeanLine> bean_line(const std::vector<BeanReading>& readings, double from_s, double to_s) {
    const auto before = [](double t_s, const BeanReading& reading) { return t_s < reading.t_s; };
    const auto first = std::upper_bound(readings.begin(), readings.end(), from_s, before);
    const auto end = std::upper_bound(first, readings.end(), to_s, before);
    if (end - first < 3 || (end - 1)->t_s - first->t_s < (to_s - from_s) / 2) return std::nullopt;
    const std::int64_t to_ms = std::llround(to_s * 1000);
    LineFit fit;
    for (auto reading = first; reading != end; ++reading)
        fit.add(std::llround(reading->t_s * 1000) - to_ms, std::llround(reading->bean_c * 1000));
    return fit.has_line() ? std::optional(BeanLine{to_s, fit.value_at(0), fit.per_second()}) : std::nullopt;
}

std::optional<double> bean_near(const std::vector<BeanReading>& readings, double at_s) {
    const auto line = bean_line(readings, at_s - kNear_s, at_s + kNear_s);
    return line ? std::optional(line->at(at_s)) : std::nullopt;
}

std::optional<double> reached_s(const std::vector<BeanReading>& readings, const RoastStretch& roast,
                                double bean_c) {
    const auto from_s = lowest_at(readings, roast);
    if (!from_s) return std::nullopt;
    std::optional<double> before;
    for (double t_s = *from_s; t_s <= roast.drop_s - kNear_s; t_s += kLookStep_s) {
        const auto now = bean_near(readings, t_s);
        if (now && *now >= bean_c) {
            if (!before || *now <= *before) return t_s;
            return t_s - kLookStep_s * std::clamp((*now - bean_c) / (*now - *before), 0.0, 1.0);
        }
        before = now;
    }
    return carried_on(readings, roast.drop_s, bean_c);
}

}  // namespace drumwatch
