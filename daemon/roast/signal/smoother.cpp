#include "roast/signal/signal.hpp"

namespace drumwatch {

void Smoother::add(Tick at, double value) {
    if (size_ > 0 && at - point(size_ - 1).at > kForgetMs) size_ = 0;
    while (size_ > 0 && at - point(0).at > kWindowMs) {
        first_ = (first_ + 1) % kCapacity;
        --size_;
    }
    if (size_ == kCapacity) {
        first_ = (first_ + 1) % kCapacity;
        --size_;
    }
    points_[(first_ + size_) % kCapacity] = {at, value};
    ++size_;
}

std::optional<Smoother::Line> Smoother::at(Tick now) const {
    if (size_ < 4) return std::nullopt;
    const Tick newest = point(size_ - 1).at;
    if (now - newest > kForgetMs || newest - point(0).at < 1500) return std::nullopt;
    double sum_t = 0, sum_v = 0, sum_tt = 0, sum_tv = 0;
    for (std::size_t i = 0; i < size_; ++i) {
        const double t = seconds_between(now, point(i).at);  // at most 0: keeps the sums small
        const double v = point(i).value;
        sum_t += t;
        sum_v += v;
        sum_tt += t * t;
        sum_tv += t * v;
    }
    const double n = static_cast<double>(size_);
    const double spread = n * sum_tt - sum_t * sum_t;
    const double slope = (n * sum_tv - sum_t * sum_v) / spread;
    return Line{(sum_v - slope * sum_t) / n, slope};
}

}  // namespace drumwatch
