#include "roast/milestones/knee.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double kStep_s = 0.25;
constexpr double kBentStep_s = 1.5;
// How far the rest before the knee may lie off the older line, in shares of the readings' noise: 0.15 C of
// noise, 0.3 C of level, 0.03 C/s of slope. Judgement, tuned on made roasts.
constexpr double kHoldLevel = 0.25;
constexpr double kHoldSlope = 25;
}  // namespace

void KneeFit::After::add(double t_s, double off_c) {
    const double square = t_s * t_s;
    n += 1, t += t_s, tt += square, ttt += square * t_s, tttt += square * square;
    r += off_c, tr += t_s * off_c, ttr += square * off_c;
}

void KneeFit::add(double t_s, double off_c) {
    if (count_ == kMost) return;
    t_s_[count_] = t_s;
    off_c_[count_] = off_c;
    ++count_;
    all_.add(t_s, off_c);
    squares_ += off_c * off_c;
}

KneeFit::Basis KneeFit::straight(const After& a, double k) {
    return {a.t - k * a.n, a.tt - k * a.t, a.tt - 2 * k * a.t + k * k * a.n, a.tr - k * a.r};
}

KneeFit::Basis KneeFit::parabola(const After& a, double k) {
    const double kk = k * k;
    return {a.tt - 2 * k * a.t + kk * a.n, a.ttt - 2 * k * a.tt + kk * a.t,
            a.tttt - 4 * k * a.ttt + 6 * kk * a.tt - 4 * k * kk * a.t + kk * kk * a.n,
            a.ttr - 2 * k * a.tr + kk * a.r};
}

/// Level and slope of the rest before are taken out of the normal equations first (Schur complement).
double KneeFit::error(const Basis& b) const {
    const double n = all_.n + kHoldLevel;
    const double tt = all_.tt + kHoldSlope;
    const double det = n * tt - all_.t * all_.t;
    const double level = (tt * all_.r - all_.t * all_.tr) / det;
    const double slope = (n * all_.tr - all_.t * all_.r) / det;
    const double rest = squares_ - level * all_.r - slope * all_.tr;
    const double u_level = (tt * b.u - all_.t * b.tu) / det;
    const double u_slope = (n * b.tu - all_.t * b.u) / det;
    const double uu = b.uu - u_level * b.u - u_slope * b.tu;
    const double ur = b.ur - level * b.u - slope * b.tu;
    return uu > 1e-9 ? rest - ur * ur / uu : rest;
}

KneeFit::Knee KneeFit::sharpest(double from_s, double to_s) const {
    After after;
    std::size_t next = 0;
    Knee best{to_s, squares_};
    std::array<double, 3> around{};  // errors one step later, at the best, and one step earlier
    double before = squares_;
    bool just_best = false;
    for (double knee_s = to_s; knee_s >= from_s; knee_s -= kStep_s) {
        for (; next < count_ && t_s_[next] > knee_s; ++next) after.add(t_s_[next], off_c_[next]);
        const double left = error(straight(after, knee_s));
        if (just_best) around[2] = left;
        just_best = left < best.error;
        if (just_best) {
            best = {knee_s, left};
            around = {before, left, left};
        }
        before = left;
    }
    // Between the steps by the parabola through the three.
    const double bend = around[0] - 2 * around[1] + around[2];
    if (bend > 0) best.at_s += std::clamp(kStep_s * (around[2] - around[0]) / (2 * bend), -kStep_s, kStep_s);
    return best;
}

double KneeFit::bent_error(double knee_s, double before_s) const {
    After after;
    std::size_t next = 0;
    double best = squares_;
    for (double at_s = knee_s; at_s >= knee_s - before_s; at_s -= kBentStep_s) {
        for (; next < count_ && t_s_[next] > at_s; ++next) after.add(t_s_[next], off_c_[next]);
        best = std::fmin(best, error(parabola(after, at_s)));
    }
    return best;
}

}  // namespace drumwatch
