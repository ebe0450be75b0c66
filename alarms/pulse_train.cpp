#include "alarms/pulse_train.hpp"

#include <algorithm>

namespace drumwatch {

namespace {

constexpr std::int64_t kVoiceStep_ms = 100;

std::int64_t begin_of(const PulseTrain& train, int pulse) {
    const std::int64_t regular = pulse * (train.pulse_ms + train.gap_ms);
    const bool after_wide = train.before_wide > 0 && pulse >= train.before_wide;
    return after_wide ? regular + train.wide_gap_ms - train.gap_ms : regular;
}

/// The first change after `at` within one round that begins at 0.
std::optional<std::int64_t> edge_in_round(const PulseTrain& train, std::int64_t at) {
    for (int pulse = 0; pulse < train.pulses; ++pulse) {
        const std::int64_t begin = begin_of(train, pulse);
        if (begin > at) return begin;
        if (begin + train.pulse_ms > at) return begin + train.pulse_ms;
    }
    return std::nullopt;
}

}  // namespace

SounderSignal signal_of(Pattern pattern) {
    switch (pattern) {
        case Pattern::off:
            return SounderSignal::off;
        case Pattern::high:
            return SounderSignal::high;
        case Pattern::medium:
            return SounderSignal::medium;
        case Pattern::low:
            return SounderSignal::low;
    }
    return SounderSignal::off;
}

PulseTrain pulse_train(SounderSignal signal, int voice) {
    const std::int64_t widened = (std::clamp(voice, 1, kVoices) - 1) * kVoiceStep_ms;
    switch (signal) {
        case SounderSignal::off:
            return {};
        case SounderSignal::prompt:
            return {1, 0, 400, 0, 0, 0};
        case SounderSignal::low:
            return {2, 1, 200, 200, 200 + widened, 0};
        case SounderSignal::medium:
            return {3, 2, 200, 200, 200 + widened, 10'000};
        case SounderSignal::high:
            return {5, 3, 150, 100, 250 + widened, 3'000};
        case SounderSignal::box_dead:
            return {1, 0, 600, 0, 0, 5'000};
        case SounderSignal::chirp:
            return {1, 0, 100, 0, 0, 0};
    }
    return {};
}

bool sounds(const PulseTrain& train, std::int64_t since_ms) {
    if (since_ms < 0) return false;
    const std::int64_t at = train.period_ms > 0 ? since_ms % train.period_ms : since_ms;
    for (int pulse = 0; pulse < train.pulses; ++pulse) {
        const std::int64_t begin = begin_of(train, pulse);
        if (at >= begin && at < begin + train.pulse_ms) return true;
    }
    return false;
}

std::optional<std::int64_t> next_edge(const PulseTrain& train, std::int64_t since_ms) {
    if (train.pulses == 0) return std::nullopt;
    if (since_ms < 0) return 0;
    const std::int64_t round = train.period_ms > 0 ? since_ms / train.period_ms * train.period_ms : 0;
    if (const auto edge = edge_in_round(train, since_ms - round)) return round + *edge;
    if (train.period_ms > 0) return round + train.period_ms;
    return std::nullopt;
}

std::int64_t round_ms(const PulseTrain& train) {
    return train.pulses > 0 ? begin_of(train, train.pulses - 1) + train.pulse_ms : 0;
}

}  // namespace drumwatch
