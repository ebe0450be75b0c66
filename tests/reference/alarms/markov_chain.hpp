// Delay timers as Markov chains: how long until an alarm, and what share of the time it is on, for readings
// that are each beyond the limit with the same chance, whatever came before (white noise).
//
// Source of the idea: N. A. Adnan, I. Izadi, T. Chen, "On expected detection delays for alarm systems with
// deadbands and delay-timers", Journal of Process Control 21(9), 2011, 1318-1331; of the n-of-m ones the same
// journal, 23(3), 2013, 382-395; both from memory. Nothing of the daemon.
#pragma once

#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

namespace drumwatch {

/// Mean and variance of a time, in readings.
struct Moments {
    double mean = 0;
    double variance = 0;
};

/// x of a x = b, by Gauss's elimination with pivots.
inline std::vector<double> solve(std::vector<std::vector<double>> a, std::vector<double> b) {
    const std::size_t n = b.size();
    for (std::size_t k = 0; k < n; ++k) {
        std::size_t best = k;
        for (std::size_t i = k + 1; i < n; ++i)
            if (std::fabs(a[i][k]) > std::fabs(a[best][k])) best = i;
        std::swap(a[k], a[best]);
        std::swap(b[k], b[best]);
        for (std::size_t i = k + 1; i < n; ++i) {
            const double factor = a[i][k] / a[k][k];
            for (std::size_t j = k; j < n; ++j) a[i][j] -= factor * a[k][j];
            b[i] -= factor * b[k];
        }
    }
    std::vector<double> x(n);
    for (std::size_t k = n; k-- > 0;) {
        double sum = b[k];
        for (std::size_t j = k + 1; j < n; ++j) sum -= a[k][j] * x[j];
        x[k] = sum / a[k][k];
    }
    return x;
}

/// From state 0 until the alarm. `next(state, beyond)` gives the state after a reading, or the number of
/// states for the alarm; `p`: chance of a reading beyond the limit.
template <typename Next>
Moments time_to_alarm(std::size_t states, double p, Next next) {
    std::vector<std::vector<double>> stays(states, std::vector<double>(states, 0));  // identity - transitions
    for (std::size_t from = 0; from < states; ++from) {
        stays[from][from] += 1;
        for (const bool beyond : {false, true}) {
            const std::size_t to = next(from, beyond);
            if (to < states) stays[from][to] -= beyond ? p : 1 - p;
        }
    }
    const auto mean = solve(stays, std::vector<double>(states, 1));
    // Second moments: E t^2 = 1 + sum p (2 E t' + E t'^2), and sum p E t' = E t - 1.
    std::vector<double> right(states);
    for (std::size_t i = 0; i < states; ++i) right[i] = 2 * mean[i] - 1;
    const auto second = solve(stays, right);
    return {mean[0], second[0] - mean[0] * mean[0]};
}

/// n readings in a row.
inline Moments in_a_row(std::size_t n, double p) {
    return time_to_alarm(n, p, [](std::size_t state, bool beyond) { return beyond ? state + 1 : 0; });
}

/// n of the last m readings; a state is the last m - 1 of them as bits.
inline Moments of_the_last(std::size_t n, std::size_t m, double p) {
    const std::size_t states = std::size_t{1} << (m - 1);
    return time_to_alarm(states, p, [=](std::size_t state, bool beyond) {
        const std::size_t all = state << 1 | (beyond ? 1u : 0u);
        std::size_t many = 0;
        for (std::size_t bits = all; bits != 0; bits &= bits - 1) ++many;
        return many >= n ? states : all & (states - 1);
    });
}

}  // namespace drumwatch
