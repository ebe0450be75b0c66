// What the core thread asks of the sounder thread, small enough to be handed over at one stroke.
#pragma once

#include <atomic>
#include <cstdint>

#include "alarms/pulse_train.hpp"

namespace drumwatch {

/// Plain counters: one that differs from before says that something new came.
struct SounderOrder {
    SounderSignal signal = SounderSignal::off;  ///< off, low, medium or high
    std::uint8_t tests = 0;
    std::uint16_t prompts = 0;
    std::uint32_t onset = 0;
    friend bool operator==(const SounderOrder&, const SounderOrder&) = default;
};

/// One writer, one reader; neither waits.
class SounderMailbox {
  public:
    void put(const SounderOrder& order, std::int64_t now_ms) {
        order_.store(order);
        told_ms_.store(now_ms);
    }
    SounderOrder order() const { return order_.load(); }
    /// When the writer last said anything; -1: never.
    std::int64_t told_ms() const { return told_ms_.load(); }

  private:
    std::atomic<SounderOrder> order_{};
    std::atomic<std::int64_t> told_ms_{-1};
    static_assert(std::atomic<SounderOrder>::is_always_lock_free);
};

}  // namespace drumwatch
