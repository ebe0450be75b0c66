// The alternatives to the smoother's line that were measured (rise.cpp): a polynomial of any degree through
// the last readings, taken at its end, and a filter that thinks of the slope as slowly varying. For the bench
// and the checks against published tables only.
#pragma once

#include <cmath>
#include <cstddef>
#include <deque>
#include <utility>
#include <vector>

namespace drumwatch {

/// Weights of the readings at `times_s` for the value (`derivative` 0), slope (1) or second derivative (2) at
/// `at_s` of the least-squares polynomial: a^T (X^T X)^-1 X^T by Gauss-Jordan, which is good enough for a
/// degree of up to 4 over a window of some seconds.
inline std::vector<double> polynomial_weights(const std::vector<double>& times_s, int degree, int derivative,
                                              double at_s) {
    const auto terms = static_cast<std::size_t>(degree) + 1;
    const auto powers = [&](double t_s) {
        std::vector<double> row(terms, 1);
        for (std::size_t k = 1; k < terms; ++k) row[k] = row[k - 1] * (t_s - at_s);
        return row;
    };
    // X^T X beside the unit vector of the wanted coefficient.
    std::vector<std::vector<double>> rows(terms, std::vector<double>(terms + 1, 0));
    for (const double t_s : times_s) {
        const auto row = powers(t_s);
        for (std::size_t i = 0; i < terms; ++i)
            for (std::size_t k = 0; k < terms; ++k) rows[i][k] += row[i] * row[k];
    }
    rows[static_cast<std::size_t>(derivative)][terms] = derivative == 2 ? 2 : 1;  // derivative's factorial
    for (std::size_t i = 0; i < terms; ++i) {
        for (std::size_t k = terms + 1; k-- > i;) rows[i][k] /= rows[i][i];
        for (std::size_t other = 0; other < terms; ++other) {
            const double factor = rows[other][i];
            for (std::size_t k = i; other != i && k <= terms; ++k) rows[other][k] -= factor * rows[i][k];
        }
    }
    std::vector<double> weights;
    for (const double t_s : times_s) {
        double weight = 0;
        const auto row = powers(t_s);
        for (std::size_t k = 0; k < terms; ++k) weight += rows[k][terms] * row[k];
        weights.push_back(weight);
    }
    return weights;
}

/// Slope at the newest reading of the polynomial through the readings of the last `window_s`.
class PolynomialEnd {
  public:
    PolynomialEnd(int degree, double window_s) : degree_(degree), window_s_(window_s) {}
    void add(double t_s, double value) {
        readings_.push_back({t_s, value});
        while (t_s - readings_.front().first > window_s_ + 1e-9) readings_.pop_front();
    }
    double per_second() {
        if (weights_.size() != readings_.size()) {  // evenly spaced in the bench: made once
            std::vector<double> times_s;
            for (const auto& reading : readings_) times_s.push_back(reading.first);
            weights_ = polynomial_weights(times_s, degree_, 1, times_s.back());
        }
        double slope = 0;
        for (std::size_t i = 0; i < readings_.size(); ++i) slope += weights_[i] * readings_[i].second;
        return slope;
    }

  private:
    int degree_;
    double window_s_;
    std::deque<std::pair<double, double>> readings_;
    std::vector<double> weights_;
};

/// Kalman filter of value and slope, the slope a random walk of `wander` C/s a root second; readings with
/// noise of `noise_c`. Predict and update as any text on filtering has them.
class SlowSlopeFilter {
  public:
    SlowSlopeFilter(double wander, double noise_c) : wander_(wander), noise_c_(noise_c) {}
    void add(double t_s, double value) {
        if (!begun_) {
            begun_ = true;
            last_s_ = t_s;
            value_ = value;
            return;
        }
        const double dt = t_s - last_s_;
        const double q = wander_ * wander_;
        last_s_ = t_s;
        value_ += slope_ * dt;
        vv_ += 2 * dt * vs_ + dt * dt * ss_ + q * dt * dt * dt / 3;
        vs_ += dt * ss_ + q * dt * dt / 2;
        ss_ += q * dt;
        const double gain_v = vv_ / (vv_ + noise_c_ * noise_c_);
        const double gain_s = vs_ / (vv_ + noise_c_ * noise_c_);
        const double error = value - value_;
        value_ += gain_v * error;
        slope_ += gain_s * error;
        ss_ -= gain_s * vs_;
        vs_ -= gain_v * vs_;
        vv_ -= gain_v * vv_;
    }
    double per_second() const { return slope_; }

  private:
    double wander_;
    double noise_c_;
    bool begun_ = false;
    double last_s_ = 0;
    double value_ = 0;
    double slope_ = 0;
    double vv_ = 1, vs_ = 0, ss_ = 1;  ///< the estimates' covariance
};

}  // namespace drumwatch
