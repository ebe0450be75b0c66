#include <cmath>

#include "roast/follow/moves.hpp"

namespace drumwatch {

namespace {
constexpr double kMoved = 1.0;  // smaller wobble of a level is no move; %, kPa or steps
constexpr std::int64_t kSettled_ms = 2'000;
}  // namespace

std::optional<MadeMove> MoveDetector::add(const Sample& sample, Tick now) {
    if (!is_good(sample.quality)) return std::nullopt;
    const double value = from_milli(sample.value_milli);
    if (!level_) {
        level_ = value;
        return std::nullopt;
    }
    if (std::fabs(value - *level_) < kMoved) {
        pending_.reset();
        return std::nullopt;
    }
    if (!pending_) since_ = now;
    if (!pending_ || std::fabs(value - *pending_) >= kMoved) {
        pending_ = value;
        changed_ = now;
    }
    if (now - changed_ < kSettled_ms) return std::nullopt;
    level_ = value;
    pending_.reset();
    return MadeMove{control_, value, since_};
}

}  // namespace drumwatch
