#include "roast/forecast/forecast.hpp"

namespace drumwatch {

namespace {
constexpr double kTrendWindow_s = 60;
constexpr std::size_t kTrendPoints = 64;
}  // namespace

RiseTrend::RiseTrend() : points_(kTrendPoints) {}

void RiseTrend::clear() { points_.clear(); }

void RiseTrend::add(Tick now, double smooth_c, double rise_per_min) {
    if (points_.size() > 0 && now - points_.back().at < 1000) return;
    points_.push({now, smooth_c, rise_per_min});
}

double RiseTrend::slope() const {
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < points_.size(); ++i) {
        const Point& p = points_[i];
        if (seconds_between(p.at, points_.back().at) > kTrendWindow_s) continue;
        const double x = p.bean_c - points_.back().bean_c;
        n += 1, sx += x, sy += p.rise_per_min, sxx += x * x, sxy += x * p.rise_per_min;
    }
    const double spread = n * sxx - sx * sx;
    return n < 10 || spread < 1e-6 ? 0 : (n * sxy - sx * sy) / spread;
}

}  // namespace drumwatch
