// What the tables of coefficients are made of; thermocouple.hpp says what they mean.
#pragma once

#include <array>
#include <cstddef>
#include <utility>

namespace drumwatch {

/// A polynomial and where it holds (degrees Celsius for a direct piece, millivolts for an inverse one).
template <std::size_t Terms>
struct ThermocouplePiece {
    double low = 0;
    double high = 0;
    std::array<double, Terms> coefficients{};  ///< lowest order first
    /// Inverse pieces: degrees. Where Newton's step is shorter, one step leaves less than 1e-6 degrees:
    /// k * step^2 with k = |E''| / (2 E'), at its largest on the piece.
    double long_step_c = 0;
};
template <std::size_t Terms>
ThermocouplePiece(double, double, std::array<double, Terms>, double = 0) -> ThermocouplePiece<Terms>;

/// a0 * exp(a1 * (t - a2)^2), added above 0 degrees Celsius. All zero where a type has none.
struct ThermocoupleBump {
    double a0 = 0;
    double a1 = 0;
    double a2 = 0;
};

/// Every `Step`th term, from `First` on: Horner's rule in x to the power of `Step`, unrolled (at -O2 the
/// compiler leaves it a loop, which takes twice the time).
template <std::size_t First, std::size_t Step, std::size_t Terms>
constexpr double chain_of(const std::array<double, Terms>& c, double power) {
    constexpr std::size_t kLast = First + (Terms - 1 - First) / Step * Step;
    return [&]<std::size_t... I>(std::index_sequence<I...>) {
        double sum = c[kLast];
        ((sum = sum * power + c[kLast - Step - Step * I]), ...);
        return sum;
    }
    (std::make_index_sequence<(kLast - First) / Step>{});
}

/// Every fourth term (of short ones every second) in a chain of its own: a processor works at them side by
/// side.
template <std::size_t Terms>
constexpr double polynomial_of(const std::array<double, Terms>& coefficients, double x) {
    const double square = x * x;
    if constexpr (Terms < 8) {
        return chain_of<0, 2>(coefficients, square) + x * chain_of<1, 2>(coefficients, square);
    } else {
        const double fourth = square * square;
        return (chain_of<0, 4>(coefficients, fourth) + x * chain_of<1, 4>(coefficients, fourth)) +
               square * (chain_of<2, 4>(coefficients, fourth) + x * chain_of<3, 4>(coefficients, fourth));
    }
}

template <std::size_t Terms>
constexpr std::array<double, Terms - 1> derivative_of(const std::array<double, Terms>& coefficients) {
    std::array<double, Terms - 1> derivative{};
    for (std::size_t i = 1; i < Terms; ++i) derivative[i - 1] = static_cast<double>(i) * coefficients[i];
    return derivative;
}

}  // namespace drumwatch
