#include <algorithm>

#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
// Coffee in hot air warms by 1.2 C/s at most, a probe in the empty drum comes back by 2 C/s and more.
constexpr double kTooFast_c = 12;
constexpr std::int64_t kTooFastUntil_ms = 150'000;
constexpr double kBackShare = 0.85;  // of the level before ...
constexpr std::int64_t kBackWithin_ms = 75'000;
constexpr std::int64_t kEarliest_ms = 8'000;
constexpr std::int64_t kLatest_ms = 280'000;
// ... or it has come to rest there, while coffee would go on rising by some degrees. What comes back as an
// exponential and rests before 280 s made a good part of its way within 8 s; coffee that is held back then
// made 7 % at most (made machines). A slow probe that came back by 50 C alone may have made no more.
constexpr double kRestsShare = 0.80;
constexpr double kRests_c = 0.8;
constexpr double kReturnsShare = 0.08;
constexpr std::int64_t kRestsFor_ms = 18'000;
constexpr std::int64_t kRestsFrom_ms = 60'000;
constexpr int kAlive = 3;  // changes of the reading: a frozen one rests as well
constexpr std::int64_t kFrozen_ms = 5'000;
constexpr std::int64_t kThin_ms = 450;
constexpr std::int64_t kGap_ms = 2'500;
constexpr std::size_t kKept = 48;
}  // namespace

ChargeDoubt::ChargeDoubt() : recent_(kKept) {}

void ChargeDoubt::start(Tick charge, double level_c) {
    recent_.clear();
    charge_ = charge;
    level_c_ = level_c;
    lowest_c_ = level_c;
    fastest_c_ = 0;
}

/// From the lowest to the highest of the last while, and how much of it that was.
ChargeDoubt::Span ChargeDoubt::span(std::int64_t last_ms) const {
    const BeanPoint& now = recent_.back();
    Span span{now.bean_c, now.bean_c, 0, 0};
    for (std::size_t i = recent_.size(); i-- > 0 && now.at - recent_[i].at <= last_ms;) {
        span.low_c = std::min(span.low_c, recent_[i].bean_c);
        span.high_c = std::max(span.high_c, recent_[i].bean_c);
        span.long_ms = now.at - recent_[i].at;
        if (i > 0 && recent_[i].bean_c != recent_[i - 1].bean_c) ++span.changes;
    }
    return span;
}

bool ChargeDoubt::at_rest(Tick now) const {
    const Span rest = span(kRestsFor_ms);
    return rest.long_ms >= kRestsFor_ms - kGap_ms && rest.high_c - rest.low_c <= kRests_c &&
           rest.changes >= kAlive && now - changed_ < kFrozen_ms;
}

std::optional<double> ChargeDoubt::add(BeanPoint read) {
    const std::int64_t since_ms = read.at - charge_;
    if (since_ms > kLatest_ms || level_c_ <= 0) return std::nullopt;
    const auto point = sieve_.add(read);
    if (!point || since_ms < kEarliest_ms) return std::nullopt;
    if (recent_.size() > 0) {
        const std::int64_t step_ms = point->at - recent_.back().at;
        if (step_ms < kThin_ms) return std::nullopt;
        if (step_ms > kGap_ms) recent_.clear();
    }
    if (recent_.size() == 0 || point->bean_c != recent_.back().bean_c) changed_ = point->at;
    recent_.push(*point);
    const double risen_c = point->bean_c - span(kWithin_ms).low_c;
    lowest_c_ = std::min(lowest_c_, point->bean_c);
    fastest_c_ = std::max(fastest_c_, risen_c);
    const bool returned = fastest_c_ > kReturnsShare * (point->bean_c - lowest_c_);
    const bool rests =
        since_ms >= kRestsFrom_ms && point->bean_c > kRestsShare * level_c_ && returned && at_rest(point->at);
    const bool back = since_ms < kBackWithin_ms && point->bean_c > kBackShare * level_c_ && risen_c > 1;
    const bool too_fast = risen_c >= kTooFast_c && since_ms < kTooFastUntil_ms;
    return too_fast || back || rests ? std::optional(risen_c) : std::nullopt;
}

}  // namespace drumwatch
