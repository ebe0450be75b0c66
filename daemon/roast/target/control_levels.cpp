#include "roast/target/control_levels.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/robust.hpp"

namespace drumwatch {
namespace {

constexpr double kHold_s = 3;        // a hand that pauses shorter is still turning
constexpr double kPause_s = 8;       // ... or this long, if it goes on the same way
constexpr double kOneRamp = 1.8;     // times the noise: one movement leaves no more unexplained
constexpr double kApart_s = 0.2;     // denser readings say nothing more
constexpr double kLeastNoise = 0.2;  // a level in whole steps has none
constexpr double kCutPrice = 3;      // times the noise squared and the logarithm of the count

std::vector<LevelReading> thinned(const std::vector<LevelReading>& readings) {
    std::vector<LevelReading> kept;
    for (const LevelReading& reading : readings)
        if (kept.empty() || reading.t_s - kept.back().t_s >= kApart_s) kept.push_back(reading);
    return kept;
}

/// From the differences of neighbours, which moves hardly touch: there are few.
double noise_of(const std::vector<LevelReading>& readings) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < readings.size(); ++i)
        steps.push_back(std::fabs(readings[i].level - readings[i - 1].level));
    return std::max(kLeastNoise, median(std::move(steps)) / (0.6745 * std::sqrt(2.0)));
}

/// Sum of squares about the mean of any stretch.
class Squares {
  public:
    explicit Squares(const std::vector<LevelReading>& readings) : sum_(1, 0.0), square_(1, 0.0) {
        const double first = readings.front().level;  // keeps the sums small
        for (const LevelReading& reading : readings) {
            const double value = reading.level - first;
            sum_.push_back(sum_.back() + value);
            square_.push_back(square_.back() + value * value);
        }
    }
    double of(std::size_t from, std::size_t to) const {
        const double sum = sum_[to] - sum_[from];
        return square_[to] - square_[from] - sum * sum / static_cast<double>(to - from);
    }

  private:
    std::vector<double> sum_, square_;
};

/// Where stretches begin, the first being 0, and the end.
std::vector<std::size_t> cuts(const std::vector<LevelReading>& readings) {
    const Squares squares(readings);
    const std::size_t count = readings.size();
    const double noise = noise_of(readings);
    const double price = kCutPrice * noise * noise * std::log(static_cast<double>(count));
    std::vector<double> best(count + 1, 0);
    std::vector<std::size_t> before(count + 1, 0), open{0};
    best[0] = -price;
    for (std::size_t to = 1; to <= count; ++to) {
        best[to] = HUGE_VAL;
        for (const std::size_t from : open) {
            const double cost = best[from] + squares.of(from, to) + price;
            if (cost < best[to]) {
                best[to] = cost;
                before[to] = from;
            }
        }
        std::erase_if(open, [&](std::size_t from) { return best[from] + squares.of(from, to) > best[to]; });
        open.push_back(to);
    }
    std::vector<std::size_t> found{count};
    for (std::size_t to = count; to > 0; to = before[to]) found.push_back(before[to]);
    std::reverse(found.begin(), found.end());
    return found;
}

struct Hold {
    std::size_t from = 0, to = 0;
    double level = 0;
};

/// What a line through the stretch climbs from its beginning to its end.
double climb(const std::vector<LevelReading>& readings, std::size_t from, std::size_t to) {
    double t = 0, level = 0, tt = 0, t_level = 0;
    const double n = static_cast<double>(to - from);
    for (std::size_t i = from; i < to; ++i) {
        const double dt = readings[i].t_s - readings[from].t_s;
        t += dt, level += readings[i].level, tt += dt * dt, t_level += dt * readings[i].level;
    }
    const double spread = tt - t * t / n;
    if (spread <= 0) return 0;
    return (t_level - t * level / n) / spread * (readings[to - 1].t_s - readings[from].t_s);
}

std::vector<Hold> holds_of(const std::vector<LevelReading>& readings, double least) {
    std::vector<Hold> holds;
    const std::vector<std::size_t> bounds = cuts(readings);
    for (std::size_t i = 1; i < bounds.size(); ++i) {
        const std::size_t from = bounds[i - 1], to = bounds[i];
        const double until_s = to < readings.size() ? readings[to].t_s : readings.back().t_s;
        if (until_s - readings[from].t_s < kHold_s) continue;
        const bool short_one = until_s - readings[from].t_s < 4 * kHold_s;
        if (short_one && std::fabs(climb(readings, from, to)) > 2 * least) continue;
        std::vector<double> levels;
        for (std::size_t k = from; k < to; ++k) levels.push_back(readings[k].level);
        const double level = median(std::move(levels));
        if (!holds.empty() && std::fabs(holds.back().level - level) < least)
            holds.back().to = to;
        else
            holds.push_back({from, to, level});
    }
    return holds;
}

/// A change as a straight ramp between two levels, over the readings near it.
class Ramp {
  public:
    Ramp(const std::vector<LevelReading>& readings, const Hold& before, const Hold& after)
        : before_(before.level), after_(after.level) {
        from_s_ = readings[before.to - 1].t_s - kLook_s;
        to_s_ = readings[after.from].t_s + kLook_s;
        for (std::size_t i = before.from; i < after.to; ++i)
            if (readings[i].t_s >= from_s_ && readings[i].t_s <= to_s_) near_.push_back(readings[i]);
        find();
    }
    /// Of the ramp that fits best; the steeper one where two fit about alike.
    double begins_s() const { return begins_s_; }
    /// What it leaves unexplained, as a standard deviation.
    double off() const {
        return std::sqrt(squares(begins_s_, length_s_) / static_cast<double>(near_.size()));
    }

  private:
    static constexpr double kLook_s = 8;
    static constexpr double kLongest_s = 12;
    static constexpr double kStep_s = 0.25;
    static constexpr double kDearer = 0.02;     // a second of length must explain that much more
    static constexpr double kNoiseless = 0.01;  // squares; what fits without error is told by its length

    void find() {
        double best = HUGE_VAL;
        for (double length_s = 0; length_s <= kLongest_s; length_s += 2 * kStep_s) {
            for (double from_s = from_s_; from_s <= to_s_ - length_s; from_s += kStep_s) {
                const double error = (kNoiseless + squares(from_s, length_s)) * (1 + kDearer * length_s);
                if (error >= best) continue;
                best = error;
                begins_s_ = from_s;
                length_s_ = length_s;
            }
        }
    }
    double squares(double begins_s, double length_s) const {
        double sum = 0;
        for (const LevelReading& reading : near_) {
            const double since_s = reading.t_s - begins_s;
            const double done = length_s > 0   ? std::clamp(since_s / length_s, 0.0, 1.0)
                                : since_s >= 0 ? 1.0
                                               : 0.0;
            const double off = reading.level - before_ - (after_ - before_) * done;
            sum += off * off;
        }
        return sum;
    }
    double before_, after_;
    double from_s_ = 0, to_s_ = 0;
    double begins_s_ = 0, length_s_ = 0;
    std::vector<LevelReading> near_;
};

/// A short pause between two changes of the same direction was none, where one ramp explains both.
void join_pauses(std::vector<Hold>& holds, const std::vector<LevelReading>& readings) {
    const double noise = noise_of(readings);
    for (std::size_t i = 1; i + 1 < holds.size();) {
        const bool same_way = (holds[i].level > holds[i - 1].level) == (holds[i + 1].level > holds[i].level);
        const double pause_s = readings[holds[i].to].t_s - readings[holds[i].from].t_s;
        if (same_way && pause_s < kPause_s &&
            Ramp(readings, holds[i - 1], holds[i + 1]).off() < kOneRamp * noise)
            holds.erase(holds.begin() + static_cast<std::ptrdiff_t>(i));
        else
            ++i;
    }
}

}  // namespace

std::vector<LevelChange> level_changes(const std::vector<LevelReading>& readings, double least) {
    const std::vector<LevelReading> kept = thinned(readings);
    std::vector<LevelChange> changes;
    if (kept.size() < 2) return changes;
    std::vector<Hold> holds = holds_of(kept, least);
    join_pauses(holds, kept);
    for (std::size_t i = 1; i < holds.size(); ++i) {
        const Ramp ramp(kept, holds[i - 1], holds[i]);
        changes.push_back({ramp.begins_s(), holds[i - 1].level, holds[i].level});
    }
    return changes;
}

}  // namespace drumwatch
