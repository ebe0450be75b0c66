#include "tick_floor.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/line_fit.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kTick_ms = 250;
constexpr std::size_t kPoints = 40;   // 10 s of them
constexpr std::size_t kSeconds = 24;  // of the line that a drop leaves
constexpr std::size_t kMoves = 8;     // planned, and made

/// A line through the last 10 s of each temperature; what is far off it would be a spike.
struct Lines {
    struct Line {
        LineFit fit;
        std::array<Milli, kPoints> values{};
        double value_c = 0;
        double per_s = 0;
    };
    std::array<Line, 6> lines;
    std::size_t count = 0;
    int odd = 0;

    void add(const Frame& frame) {
        const std::size_t at = count % kPoints;
        for (std::size_t i = 0; i < lines.size(); ++i) {
            Line& line = lines[i];
            const Milli value = frame.samples[i < 2 ? i : i + 2].value_milli;
            line.fit.move_origin(kTick_ms);
            if (count >= 4 && std::fabs(line.fit.value_at(0) * 1000 - value) > 2000) ++odd;
            if (count >= kPoints)
                line.fit.remove(-static_cast<std::int64_t>(kPoints) * kTick_ms, line.values[at]);
            line.fit.add(0, value);
            line.values[at] = value;
            if (count < 4) continue;
            line.value_c = line.fit.value_at(0);
            line.per_s = line.fit.per_second();
        }
        ++count;
    }
};

/// Each value against high and low limits with their deadbands.
int beyond_limits(const Frame& frame) {
    int beyond = 0;
    for (std::size_t i = 0; i < frame.channels; ++i) {
        const Milli value = frame.samples[i].value_milli;
        beyond += static_cast<int>(value > 240'000) + static_cast<int>(value > 238'000) +
                  static_cast<int>(value < -50'000) + static_cast<int>(value > 450'000);
    }
    return beyond;
}

/// A line by least squares through means of a second, what is off the one before left out; how far the newest
/// is from it.
struct BreakLine {
    std::array<double, kSeconds> means{};
    std::size_t count = 0;
    double level_c = 0, per_s = 0;

    void add(double mean_c) {
        means[count++ % kSeconds] = mean_c;
        if (count < kSeconds) return;
        double n = 0, t = 0, v = 0, tt = 0, tv = 0;
        for (std::size_t i = 0; i < kSeconds; ++i) {
            const double s = static_cast<double>(i) - kSeconds;
            const double value = means[(count + i) % kSeconds];
            if (count > kSeconds && std::fabs(value - level_c - per_s * (s + 1)) > 3) continue;
            n += 1, t += s, v += value, tt += s * s, tv += s * value;
        }
        per_s = (n * tv - t * v) / (n * tt - t * t + 1e-9);
        level_c = (v - per_s * t) / (n + 1e-9);
    }
};

/// Deviation, ahead, corridor, and seven spreads of what may come.
double compare(const TargetCurve& target, double at_s, const Lines::Line& bean) {
    const TargetCurve::Here here = target.here(at_s);
    const double deviation = bean.value_c - here.bean_c;
    const double drift = bean.per_s * 60 - here.rise_per_min;
    double sum = deviation + drift + here.corridor_c + target.time_at(bean.value_c).value_or(0);
    for (int i = 0; i < 7; ++i) {
        const double a = 0.1 + 0.1 * i * deviation;
        const double b = 0.05 * i * drift;
        sum += std::sqrt(a * a + b * b + 0.01);
    }
    return sum;
}

/// By steps of 10 s along the target's rates to its crack.
double walk(const TargetCurve& target, double at_s, double bean_c) {
    double t_s = at_s;
    const double until_c = target.crack_c().value_or(200);
    for (int steps = 0; bean_c < until_c && steps < 60; ++steps) {
        bean_c += std::max(target.rise_per_min_at(t_s), 1.0) / 6;
        t_s += 10;
    }
    return t_s;
}

/// Of all pairs of a planned and a made move the nearest in time.
double nearest(double at_s) {
    double best = 1e9;
    for (std::size_t planned = 0; planned < kMoves; ++planned)
        for (std::size_t made = 0; made < kMoves; ++made) {
            const double off_s = static_cast<double>(planned) * 70 - static_cast<double>(made) * 71 + at_s;
            best = std::min(best, std::fabs(off_s));
        }
    return best;
}

}  // namespace

double bare_arithmetic(const std::vector<Frame>& frames, Tick charge, const TargetCurve& target) {
    Lines lines;
    BreakLine line;
    double sum = 0;
    double second_c = 0;
    for (const Frame& frame : frames) {
        lines.add(frame);
        sum += beyond_limits(frame);
        const Lines::Line& bean = lines.lines[0];
        const double at_s = seconds_between(charge, frame.tick);
        sum += bean.value_c - line.level_c;
        if (at_s > 0) sum += compare(target, at_s, bean);
        second_c += from_milli(frame.samples[0].value_milli) / 4;
        if (frame.tick.ms % 1000 != 0) continue;
        line.add(second_c);
        second_c = 0;
        if (at_s > 0) sum += walk(target, at_s, bean.value_c) + nearest(at_s);
    }
    return sum + lines.odd;
}

}  // namespace drumwatch
