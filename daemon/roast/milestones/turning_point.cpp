#include <cmath>
#include <cstdlib>

#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
constexpr double kRisen_c = 1.0;           // above the lowest before it counts as turned
constexpr std::int64_t kSince_ms = 6'000;  // and at least this long ago
constexpr std::int64_t kEarliest_ms = 15'000;
constexpr std::int64_t kLatest_ms = 240'000;
constexpr std::int64_t kValley_ms = 10'000;  // either side of the lowest, for the parabola
constexpr std::size_t kKept = 512;           // 51 s at 10 Hz
}  // namespace

TurningPointDetector::TurningPointDetector() : since_charge_(kKept) {}

void TurningPointDetector::start(Tick charge) {
    since_charge_.clear();
    charge_ = charge;
    lowest_.reset();
    done_ = false;
}

std::optional<Found> TurningPointDetector::add(BeanPoint read) {
    if (done_) return std::nullopt;
    const auto sieved = sieve_.add(read);
    if (!sieved) return std::nullopt;
    const BeanPoint point = *sieved;
    if (point.at - charge_ > kLatest_ms) {
        done_ = true;
        return std::nullopt;
    }
    since_charge_.push(point);
    if (!lowest_ || point.bean_c < lowest_->bean_c) lowest_ = point;
    const bool turned = point.bean_c >= lowest_->bean_c + kRisen_c && point.at - lowest_->at >= kSince_ms &&
                        lowest_->at - charge_ >= kEarliest_ms;
    if (!turned) return std::nullopt;
    done_ = true;
    return valley();
}

/// Vertex of the least-squares parabola around the lowest reading (normal equations of three unknowns, in
/// seconds from it).
std::optional<Found> TurningPointDetector::valley() const {
    double s0 = 0, s1 = 0, s2 = 0, s3 = 0, s4 = 0, y0 = 0, y1 = 0, y2 = 0;
    for (std::size_t i = since_charge_.size(); i-- > 0;) {
        const BeanPoint& p = since_charge_[i];
        if (lowest_->at - p.at > kValley_ms) break;
        if (p.at - lowest_->at > kValley_ms) continue;
        const double t = seconds_between(lowest_->at, p.at);
        const double v = p.bean_c - lowest_->bean_c;
        s0 += 1, s1 += t, s2 += t * t, s3 += t * t * t, s4 += t * t * t * t;
        y0 += v, y1 += v * t, y2 += v * t * t;
    }
    const Milli risen = to_milli(since_charge_.back().bean_c - lowest_->bean_c).value_or(0);
    const Found at_lowest{lowest_->at, lowest_->bean_c, {FoundBy::valley, 50, risen}};
    const double det = s0 * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s2 * s3) + s2 * (s1 * s3 - s2 * s2);
    if (s0 < 4 || std::fabs(det) < 1e-9) return at_lowest;
    const double c = (y0 * (s2 * s4 - s3 * s3) - s1 * (y1 * s4 - y2 * s3) + s2 * (y1 * s3 - y2 * s2)) / det;
    const double b = (s0 * (y1 * s4 - y2 * s3) - y0 * (s1 * s4 - s2 * s3) + s2 * (s1 * y2 - s2 * y1)) / det;
    const double a = (s0 * (s2 * y2 - s3 * y1) - s1 * (s1 * y2 - s2 * y1) + y0 * (s1 * s3 - s2 * s2)) / det;
    if (a <= 0) return at_lowest;
    const double t = -b / (2 * a);
    if (std::fabs(t) * 1000 > static_cast<double>(kValley_ms)) return at_lowest;
    const auto ms = static_cast<std::int64_t>(std::llround(t * 1000));
    const double valley_c = lowest_->bean_c + c - b * b / (4 * a);
    return Found{lowest_->at + ms, valley_c, {FoundBy::valley, 90, risen}};
}

}  // namespace drumwatch
