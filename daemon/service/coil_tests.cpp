#include "service/coil_tests.hpp"

#include <utility>

#include "alarms/pattern.hpp"

namespace drumwatch {

void CoilTests::begin(std::vector<std::size_t> sounders, Tick now) {
    waiting_ = std::move(sounders);
    enter(Phase::rest, now - kBetween_ms);  // the first one's turn is the next step
}

std::optional<std::size_t> CoilTests::sounder() const {
    if (waiting_.empty() || phase_ == Phase::rest) return std::nullopt;
    return waiting_.front();
}

void CoilTests::enter(Phase phase, Tick now) {
    phase_ = phase;
    since_ = now;
    was_on_ = false;
}

std::optional<CoilTests::Result> CoilTests::end(bool passed, Tick now) {
    const Result result{waiting_.front(), passed};
    waiting_.erase(waiting_.begin());
    enter(Phase::rest, now);
    return result;
}

std::optional<CoilTests::Result> CoilTests::step(Tick now, const Confirmed& confirmed) {
    if (waiting_.empty()) return std::nullopt;
    const std::int64_t for_ms = now - since_;
    if (phase_ == Phase::rest) {
        if (for_ms >= kBetween_ms) enter(Phase::on, now);
        return std::nullopt;
    }
    const auto level = confirmed(waiting_.front());
    if (phase_ == Phase::off && level == false) return end(true, now);
    was_on_ = was_on_ || (phase_ == Phase::on && level == true);
    if (was_on_ && for_ms >= kPulseStep_ms)
        enter(Phase::off, now);
    else if (for_ms >= kPatience_ms)
        return end(false, now);
    return std::nullopt;
}

}  // namespace drumwatch
