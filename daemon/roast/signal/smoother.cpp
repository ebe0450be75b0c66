#include <algorithm>

#include "roast/signal/signal.hpp"

namespace drumwatch {

void Smoother::begin_line() {
    size_ = 0;
    line_ = {};
}

void Smoother::clear() {
    begin_line();
    held_.clear();
}

void Smoother::forget_oldest() {
    const Point& oldest = point(0);
    line_.remove(oldest.at - newest().at, oldest.value);
    first_ = (first_ + 1) % kCapacity;
    --size_;
}

void Smoother::believe(const Point& reading) {
    if (size_ == kCapacity) forget_oldest();
    if (size_ > 0) line_.move_origin(reading.at - newest().at);
    points_[(first_ + size_) % kCapacity] = reading;
    ++size_;
    line_.add(0, reading.value);
    while (reading.at - point(0).at > kWindowMs) forget_oldest();
}

std::optional<Smoother::Line> Smoother::at(Tick now) const {
    if (size_ < 4) return std::nullopt;
    const std::int64_t age_ms = now - newest().at;
    if (age_ms > kForgetMs || newest().at - point(0).at < kLeastMs) return std::nullopt;
    const std::int64_t lead_ms =
        probe_lag_ms_ > 0 ? std::clamp<std::int64_t>(line_.farthest_ms() - age_ms, 0, probe_lag_ms_) : 0;
    return Line{line_.value_at(age_ms + lead_ms), line_.per_second()};
}

}  // namespace drumwatch
