#include <cmath>

#include "roast/signal/signal.hpp"

namespace drumwatch {

namespace {
// Judgement. Noise of 0.2 C read in steps of 1 F has a standard deviation of 0.26 C; a bean probe falls at
// most some 10 C/s at charge.
constexpr double kSteepest = 12;  // C/s, and thousandths a millisecond
constexpr std::int64_t kTrendMs = 1'000;
constexpr double kTrendShare = 0.25;  // of the trend's own way: how far it may be out
constexpr double kCountedMilli = 2'500;
constexpr double kCountedShare = 0.02;
constexpr double kBackShare = 0.3;
constexpr double kGrowth = 0.5;  // of what a straight fall since the newest believed reading would add

double apart(Milli from, Milli to) { return static_cast<double>(to) - static_cast<double>(from); }
}  // namespace

/// Where the last second's trend leads.
double Smoother::trend_milli(Tick at) const {
    const Point& to = newest();
    std::size_t i = size_ - 1;
    while (i > 0 && to.at - point(i).at < kTrendMs) --i;
    const Point& from = point(i);
    if (from.at == to.at) return to.value;
    return to.value + static_cast<double>(at - to.at) * apart(from.value, to.value) /
                          static_cast<double>(to.at - from.at);
}

double Smoother::off_milli(const Point& reading) const { return reading.value - trend_milli(reading.at); }

/// The line is asked first: it is the cheaper one, and right but for bends.
bool Smoother::expected(const Point& reading) const {
    if (size_ == 0) return false;
    const auto off_line = [&] { return reading.value - 1000 * line_.value_at(reading.at - newest().at); };
    if (line_.has_line() && std::fabs(off_line()) <= kOddMilli) return true;
    const double trend_way = trend_milli(reading.at) - newest().value;
    return std::fabs(off_milli(reading)) <= kOddMilli + kTrendShare * std::fabs(trend_way);
}

/// How far out it is in parts of the first held one; nothing if it can't go with what is held: on the other
/// side, or too far for a probe.
std::optional<double> Smoother::going_on(const Point& reading) const {
    if (held_.empty()) return std::nullopt;
    const double dt_ms = static_cast<double>(reading.at - held_.back().at);
    const double step = std::fabs(apart(held_.back().value, reading.value));
    if (dt_ms > kForgetMs || step > kOddMilli + kSteepest * dt_ms) return std::nullopt;
    if (size_ == 0) return 1;
    const double share = off_milli(reading) / off_milli(held_[0]);
    return share > 0 ? std::optional(share) : std::nullopt;
}

/// Further out than the first held one by what a fall adds; a spike that lasts does not.
bool Smoother::falls(const Point& reading, double share) const {
    if (size_ == 0) return false;
    const auto between = static_cast<double>(reading.at - held_[0].at);
    return share >= 1 + kGrowth * between / static_cast<double>(held_[0].at - newest().at);
}

void Smoother::believe_held() {
    for (const Point& held : held_) believe(held);
    held_.clear();
}

/// What is held is dropped. A spike is back with the next reading, and is counted where it was far out: a
/// fiftieth of a hot oxidiser's temperature is noise.
void Smoother::drop_held(Milli next) {
    if (size_ > 0) {
        const double out = std::fabs(apart(newest().value, held_[0].value));
        const double least = std::fmax(kCountedMilli, kCountedShare * std::fabs(static_cast<double>(next)));
        if (out >= least && std::fabs(apart(newest().value, next)) <= kBackShare * out) ++spikes_;
    }
    held_.clear();
}

void Smoother::add(Tick at, Milli value) {
    const Point reading{at, value};
    if (size_ > 0 && at - newest().at > kForgetMs) begin_line();
    if (expected(reading)) {
        if (!held_.empty()) drop_held(value);
        believe(reading);
        return;
    }
    const auto share = going_on(reading);
    if (!share && !held_.empty()) drop_held(value);
    const bool fall = share && falls(reading, *share);
    const bool stays = share && (size_ == 0 || (held_.size() >= 2 && at - held_[0].at >= kConfirmMs));
    if (held_.full()) held_.erase(0);
    held_.push_back(reading);
    if (!fall && !stays) return;
    if (!fall) begin_line();
    believe_held();
}

}  // namespace drumwatch
