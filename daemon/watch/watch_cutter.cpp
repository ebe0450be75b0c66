#include "watch/watch_cutter.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kWanted_ms = 2 * 3'600'000;
constexpr std::int64_t kLong_ms = 4 * 3'600'000;
constexpr std::int64_t kQuiet_ms = 20 * 60'000;
constexpr std::int64_t kLeast_ms = 3 * 60'000;
constexpr std::int64_t kWarmUp_ms = 30'000;  // the smoothing looks back 10 s, the charge detector 25 s
}  // namespace

void WatchCutter::add(const Frame& frame) {
    recent_.push_back(frame);
    while (frame.tick - recent_.front().tick >= kWarmUp_ms) recent_.pop_front();
}

bool WatchCutter::due(const Engine& engine, const Begin& begin) const {
    const auto empty_ms = engine.empty_ms();
    if (!empty_ms || *empty_ms < kLeast_ms || engine.has_news()) return false;
    const std::int64_t age_ms = engine.snapshot().tick - begin.carried.first;
    const bool quiet = *empty_ms >= kQuiet_ms && !engine.snapshot().cooling;
    return asked_ || age_ms >= kLong_ms || (age_ms >= kWanted_ms && quiet);
}

Begin WatchCutter::next(const Begin& begin, const Engine& engine, Tick first) {
    asked_ = false;
    Begin next = begin;
    next.watch = begin.watch + 1;
    next.target = engine.target();
    next.lessons = engine.lessons();
    next.next_roast = engine.next_roast();
    if (begin.idle_ms) next.idle_ms = *begin.idle_ms + (first - begin.carried.first);
    next.carried = engine.carry(first);
    next.carried.warm_up.assign(recent_.begin(), recent_.end());
    return next;
}

}  // namespace drumwatch
