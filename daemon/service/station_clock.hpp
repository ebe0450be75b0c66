// The daemon's clock: the machine's own, or `speed` times faster on a scaled simulated station. Thread: any.
#pragma once

#include <chrono>

#include "core/clock.hpp"

namespace drumwatch {

class StationClock : public Clock {
  public:
    explicit StationClock(double speed) : speed_(speed), begin_(std::chrono::steady_clock::now()) {}

    std::int64_t steady_ms() const override {
        const std::chrono::duration<double, std::milli> real = std::chrono::steady_clock::now() - begin_;
        return static_cast<std::int64_t>(real.count() * speed_);
    }
    WallTime wall() const override {
        const auto now = std::chrono::system_clock::now().time_since_epoch();
        return {std::chrono::duration_cast<std::chrono::milliseconds>(now).count()};
    }
    /// Real time from now until steady_ms() reaches `ms`; zero when it has.
    std::chrono::microseconds until(std::int64_t ms) const {
        const std::chrono::duration<double, std::milli> due(static_cast<double>(ms) / speed_);
        const auto left = begin_ + due - std::chrono::steady_clock::now();
        const auto micros = std::chrono::duration_cast<std::chrono::microseconds>(left);
        return std::max(micros, std::chrono::microseconds(0));
    }
    double speed() const { return speed_; }

  private:
    double speed_;
    std::chrono::steady_clock::time_point begin_;
};

}  // namespace drumwatch
