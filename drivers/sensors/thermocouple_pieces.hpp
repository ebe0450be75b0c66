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

/// Every second term, from `First` on: Horner's rule in the square, unrolled (at -O2 the compiler leaves it a
/// loop, which takes twice the time).
template <std::size_t First, std::size_t Terms>
constexpr double half_of(const std::array<double, Terms>& c, double square) {
    constexpr std::size_t kLast = First + (Terms - 1 - First) / 2 * 2;
    return [&]<std::size_t... I>(std::index_sequence<I...>) {
        double sum = c[kLast];
        ((sum = sum * square + c[kLast - 2 - 2 * I]), ...);
        return sum;
    }
    (std::make_index_sequence<(kLast - First) / 2>{});
}

/// Even and odd terms in chains of their own, which a processor works at side by side.
template <std::size_t Terms>
constexpr double polynomial_of(const std::array<double, Terms>& coefficients, double x) {
    const double square = x * x;
    return half_of<0>(coefficients, square) + x * half_of<1>(coefficients, square);
}

template <std::size_t Terms>
constexpr std::array<double, Terms - 1> derivative_of(const std::array<double, Terms>& coefficients) {
    std::array<double, Terms - 1> derivative{};
    for (std::size_t i = 1; i < Terms; ++i) derivative[i - 1] = static_cast<double>(i) * coefficients[i];
    return derivative;
}

}  // namespace drumwatch
