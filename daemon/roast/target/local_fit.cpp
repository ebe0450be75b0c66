#include "roast/target/local_fit.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/robust.hpp"

namespace drumwatch {
namespace {

constexpr int kRounds = 3;
constexpr std::size_t kAtLeast = 6;  // readings for a parabola
constexpr double kWidest_s = 40;
constexpr double kFarOut = 6;            // times the median residual
constexpr double kLeastResidual = 0.05;  // steps of an instrument leave residuals of nothing

struct Sums {
    double w = 0, x = 0, xx = 0, xxx = 0, xxxx = 0, y = 0, xy = 0, xxy = 0;
    void add(double weight, double dx, double value) {
        w += weight;
        x += weight * dx;
        xx += weight * dx * dx;
        xxx += weight * dx * dx * dx;
        xxxx += weight * dx * dx * dx * dx;
        y += weight * value;
        xy += weight * dx * value;
        xxy += weight * dx * dx * value;
    }
};

struct Parabola {
    double c0 = 0, c1 = 0, c2 = 0;
    double at(double dx) const { return c0 + (c1 + c2 * dx) * dx; }
};

/// Normal equations by Cramer's rule.
std::optional<Parabola> solve(const Sums& s) {
    const auto det = [](double a, double b, double c, double d, double e, double f, double g, double h,
                        double i) { return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g); };
    const double whole = det(s.w, s.x, s.xx, s.x, s.xx, s.xxx, s.xx, s.xxx, s.xxxx);
    if (!(std::fabs(whole) > 1e-12)) return std::nullopt;
    return Parabola{det(s.y, s.x, s.xx, s.xy, s.xx, s.xxx, s.xxy, s.xxx, s.xxxx) / whole,
                    det(s.w, s.y, s.xx, s.x, s.xy, s.xxx, s.xx, s.xxy, s.xxxx) / whole,
                    det(s.w, s.x, s.y, s.x, s.xx, s.xy, s.xx, s.xxx, s.xxy) / whole};
}

double tricube(double u) {
    const double left = 1 - u * u * u;
    return u < 1 ? left * left * left : 0;
}

double bisquare(double u) {
    const double left = 1 - u * u;
    return u < 1 ? left * left : 0;
}

using Span = std::pair<std::vector<TargetPoint>::const_iterator, std::vector<TargetPoint>::const_iterator>;

/// Parabola in units of `half_s`, so that the sums stay tame.
std::optional<Parabola> fit(const Span& span, double t_s, double half_s) {
    const auto count = static_cast<std::size_t>(span.second - span.first);
    std::vector<double> trust(count, 1.0);
    std::optional<Parabola> parabola;
    for (int round = 0; round <= kRounds; ++round) {
        Sums sums;
        for (std::size_t i = 0; i < count; ++i) {
            const TargetPoint& point = span.first[static_cast<std::ptrdiff_t>(i)];
            const double dx = (point.t_s - t_s) / half_s;
            sums.add(trust[i] * tricube(std::fabs(dx) / 1.001), dx, point.bean_c);
        }
        const auto better = solve(sums);
        if (!better) return parabola;
        parabola = better;
        std::vector<double> residuals;
        for (std::size_t i = 0; i < count; ++i) {
            const TargetPoint& point = span.first[static_cast<std::ptrdiff_t>(i)];
            residuals.push_back(std::fabs(point.bean_c - parabola->at((point.t_s - t_s) / half_s)));
        }
        const double scale = kFarOut * std::max(kLeastResidual, median(residuals));
        for (std::size_t i = 0; i < count; ++i) trust[i] = bisquare(residuals[i] / scale);
    }
    return parabola;
}

}  // namespace

LocalFit::LocalFit(std::vector<TargetPoint> readings) : readings_(std::move(readings)) {}

std::optional<LocalFit::Value> LocalFit::at(double t_s, double half_s) const {
    const auto earlier = [](const TargetPoint& point, double t) { return point.t_s < t; };
    for (double half = half_s; half <= kWidest_s; half *= 1.3) {
        const auto from = std::lower_bound(readings_.begin(), readings_.end(), t_s - half, earlier);
        const auto to = std::lower_bound(from, readings_.end(), t_s + half + 1e-9, earlier);
        if (static_cast<std::size_t>(to - from) < kAtLeast) continue;
        if (const auto parabola = fit({from, to}, t_s, half)) return Value{parabola->c0, parabola->c1 / half};
    }
    return std::nullopt;
}

double bean_reach_s(double t_s) { return std::clamp(4 + (t_s - 20) * 0.1, 4.0, 12.0); }

}  // namespace drumwatch
