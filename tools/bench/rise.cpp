// The rate of rise at the live edge: noise against lag of the smoother's line and of two alternatives, on 4
// readings a second with 0.15 C of white noise in steps of 0.1 C. `bench_rise [PICTURE.svg]`
//
// Noise: standard deviation on a straight rise of 8 C/min. Late: seconds until half of a sudden change of the
// rate is seen (without noise). Over: how far the answer goes beyond the change, in parts of it. Settled:
// until it stays within 5 % of it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "bench/polynomial_end.hpp"
#include "bench/rise_picture.hpp"
#include "roast/signal/signal.hpp"
#include "support/random.hpp"

namespace drumwatch {
namespace {

constexpr double kPeriod_s = 0.25;
constexpr double kNoise_c = 0.15;
constexpr double kSettle_s = 200;

/// The product's own, as the others are asked.
class Product {
  public:
    void add(double t_s, double value) {
        now_ = Tick{std::llround(t_s * 1000)};
        smoother_.add(now_, *to_milli(value));
    }
    double per_second() const { return smoother_.at(now_) ? smoother_.at(now_)->per_second : 0; }

  private:
    Smoother smoother_;
    Tick now_;
};

template <typename Estimator>
double noise_of(Estimator estimator) {
    TestRandom random(4);
    double sum = 0, squares = 0;
    int count = 0;
    for (int i = 0; i < 40'000; ++i) {
        const double t_s = i * kPeriod_s;
        const double true_c = 100 + 8.0 / 60 * t_s;
        estimator.add(t_s, std::round((true_c + kNoise_c * random.normal()) * 10) / 10);
        if (t_s < kSettle_s) continue;
        const double error = estimator.per_second() * 60 - 8;
        sum += error;
        squares += error * error;
        ++count;
    }
    return std::sqrt(squares / count - sum / count * sum / count);
}

/// Share of a sudden change of the rate that is seen, each kPeriod_s from 5 s before it on; from 11 to 5
/// C/min.
template <typename Estimator>
std::vector<double> answer_of(Estimator estimator) {
    std::vector<double> answer;
    for (double t_s = 0; t_s <= kSettle_s + 60; t_s += kPeriod_s) {
        const double after_s = std::max(0.0, t_s - kSettle_s);
        estimator.add(t_s, 100 + 11.0 / 60 * t_s - 6.0 / 60 * after_s);
        if (t_s >= kSettle_s - 5) answer.push_back((11 - estimator.per_second() * 60) / 6);
    }
    return answer;
}

template <typename Estimator>
RisePoint measured(const Estimator& estimator, double setting) {
    RisePoint point{setting, noise_of(estimator), 0, 0, 0, answer_of(estimator)};
    const auto seen_s = [&](std::size_t i) { return static_cast<double>(i) * kPeriod_s - 5; };
    for (std::size_t i = 0; i < point.answer.size(); ++i) {
        if (i > 0 && point.late_s <= 0 && point.answer[i] >= 0.5) {
            const double before = point.answer[i - 1];
            point.late_s = seen_s(i) - kPeriod_s * (point.answer[i] - 0.5) / (point.answer[i] - before);
        }
        point.over = std::max(point.over, point.answer[i] - 1);
        if (std::fabs(point.answer[i] - 1) > 0.05) point.settled_s = seen_s(i + 1);
    }
    return point;
}

void print(const char* name, const std::vector<RisePoint>& points) {
    fmt::print("{}\n  {:>10} {:>12} {:>8} {:>8} {:>10}\n", name, "setting", "noise C/min", "late s", "over %",
               "settled s");
    for (const RisePoint& point : points)
        fmt::print("  {:>10g} {:>12.3f} {:>8.2f} {:>8.1f} {:>10.2f}\n", point.setting, point.noise_per_min,
                   point.late_s, 100 * point.over, point.settled_s);
}

RisePicture measure_all() {
    RisePicture all;
    for (const double window_s : {4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0})
        all.line.push_back(measured(PolynomialEnd(1, window_s), window_s));
    for (const double window_s : {10.0, 12.0, 15.0, 18.0, 20.0, 22.0, 25.0, 30.0, 40.0})
        all.parabola.push_back(measured(PolynomialEnd(2, window_s), window_s));
    for (const double wander : {0.0005, 0.001, 0.002, 0.003, 0.005, 0.0075, 0.01, 0.02, 0.04})
        all.filter.push_back(measured(SlowSlopeFilter(wander, 0.153), wander));
    all.product = measured(Product(), 10);
    return all;
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    using namespace drumwatch;
    const RisePicture all = measure_all();
    print("the smoother (10 s)", {all.product});
    print("line over the last ... s", all.line);
    print("parabola's end over the last ... s", all.parabola);
    print("filter with a slope that wanders by ... C/s in a second", all.filter);
    if (argc > 1 && !draw(all, argv[1])) {
        fmt::print(stderr, "{} can't be written\n", argv[1]);
        return 1;
    }
}
