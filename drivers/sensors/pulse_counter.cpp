#include "drivers/sensors/pulse_counter.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kAverage_ms = 5'000;
constexpr std::int64_t kStopped_ms = 10'000;

}  // namespace

void PulseCounter::forget() {
    last_.reset();
    changes_.clear();
}

Measured PulseCounter::take(std::uint32_t count, std::int64_t now_ms) {
    const std::uint32_t round = source_.bits == 16 ? 0xFFFFU : 0xFFFFFFFFU;
    count &= round;
    const std::uint32_t step = last_ ? (count - *last_) & round : 0;
    const bool began_anew = step > round / 2 || (!changes_.empty() && now_ms < changes_.back().at_ms);
    if (!last_ || began_anew) {
        changes_.assign(1, {now_ms, 0});
    } else if (step > 0) {
        changes_.push_back({now_ms, changes_.back().pulses + step});
    }
    last_ = count;
    if (began_anew) return {0, Quality::bad_reply};
    drop_old(now_ms);
    const auto rate = pulses_per_s(now_ms);
    if (!rate) return {0, Quality::never_read};
    return {*rate * 60 / source_.per_turn, Quality::good};
}

/// Keeps those of the time that is averaged over, and two in any case.
void PulseCounter::drop_old(std::int64_t now_ms) {
    while (changes_.size() > 2 && changes_.front().at_ms < now_ms - kAverage_ms) changes_.pop_front();
}

std::optional<double> PulseCounter::pulses_per_s(std::int64_t now_ms) const {
    const std::int64_t quiet_ms = now_ms - changes_.back().at_ms;
    if (quiet_ms >= kStopped_ms) return 0;
    if (changes_.size() < 2) return std::nullopt;
    const auto pulses = static_cast<double>(changes_.back().pulses - changes_.front().pulses);
    const auto took_ms = static_cast<double>(changes_.back().at_ms - changes_.front().at_ms);
    if (took_ms <= 0) return std::nullopt;
    const double usual_ms = took_ms / static_cast<double>(changes_.size() - 1);  // from change to change
    const double waiting = static_cast<double>(quiet_ms) / usual_ms;
    const double rate = pulses * 1000 / took_ms;
    return waiting > 2 ? rate / waiting : rate;
}

}  // namespace drumwatch
