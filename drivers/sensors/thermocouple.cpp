#include "drivers/sensors/thermocouple.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

namespace drumwatch {

/// A polynomial and where it holds (degrees Celsius for a direct piece, millivolts for an inverse one).
struct ThermocouplePiece {
    double low;
    double high;
    std::span<const double> coefficients;  ///< lowest order first
};

/// a0 * exp(a1 * (t - a2)^2), added above 0 degrees Celsius. All zero where a type has none.
struct ThermocoupleBump {
    double a0 = 0;
    double a1 = 0;
    double a2 = 0;
};

struct ThermocoupleType {
    char letter;
    std::span<const ThermocouplePiece> direct;   ///< joined end to end, coldest first
    std::span<const ThermocouplePiece> inverse;  ///< the same; approximate, where a search begins
    ThermocoupleBump bump;
};

namespace {

constexpr std::array kTypeKDirect0{0.000000000000,      0.394501280250e-1,   0.236223735980e-4,
                                   -0.328589067840e-6,  -0.499048287770e-8,  -0.675090591730e-10,
                                   -0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16,
                                   -0.198892668780e-19, -0.163226974860e-22};
constexpr std::array kTypeKDirect1{
    -0.176004136860e-1,  0.389212049750e-1,  0.185587700320e-4,   -0.994575928740e-7, 0.318409457190e-9,
    -0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18, 0.971511471520e-22, -0.121047212750e-25};
constexpr std::array kTypeKInverse0{0.0000000,     2.5173462e1,   -1.1662878,    -1.0833638,   -8.9773540e-1,
                                    -3.7342377e-1, -8.6632643e-2, -1.0450598e-2, -5.1920577e-4};
constexpr std::array kTypeKInverse1{0.000000,     2.508355e1,  7.860106e-2,  -2.503131e-1, 8.315270e-2,
                                    -1.228034e-2, 9.804036e-4, -4.413030e-5, 1.057734e-6,  -1.052755e-8};
constexpr std::array kTypeKInverse2{-1.318058e2,  4.830222e1,  -1.646031,   5.464731e-2,
                                    -9.650715e-4, 8.802193e-6, -3.110810e-8};
constexpr std::array kTypeKDirect{ThermocouplePiece{-270, 0, kTypeKDirect0},
                                  ThermocouplePiece{0, 1372, kTypeKDirect1}};
constexpr std::array kTypeKInverse{ThermocouplePiece{-5.891, 0, kTypeKInverse0},
                                   ThermocouplePiece{0, 20.644, kTypeKInverse1},
                                   ThermocouplePiece{20.644, 54.886, kTypeKInverse2}};

// The one table of types.
constexpr std::array kTypes{
    ThermocoupleType{'K', kTypeKDirect, kTypeKInverse, {0.1185976, -1.183432e-4, 126.9686}}};

struct Emf {
    double millivolts = 0;
    double slope = 0;  ///< millivolts per degree
};

Emf polynomial(std::span<const double> coefficients, double x) {
    Emf sum;
    for (auto c = coefficients.rbegin(); c != coefficients.rend(); ++c) {
        sum.slope = sum.slope * x + sum.millivolts;
        sum.millivolts = sum.millivolts * x + *c;
    }
    return sum;
}

/// The piece that holds at `x`, else the nearest one.
const ThermocouplePiece& piece_at(std::span<const ThermocouplePiece> pieces, double x) {
    const auto found =
        std::find_if(pieces.begin(), pieces.end(), [x](const ThermocouplePiece& p) { return x <= p.high; });
    return found == pieces.end() ? pieces.back() : *found;
}

Emf direct(const ThermocoupleType& type, double celsius) {
    Emf emf = polynomial(piece_at(type.direct, celsius).coefficients, celsius);
    if (celsius > 0 && type.bump.a0 != 0) {
        const double off = celsius - type.bump.a2;
        const double bump = type.bump.a0 * std::exp(type.bump.a1 * off * off);
        emf.millivolts += bump;
        emf.slope += bump * 2 * type.bump.a1 * off;
    }
    return emf;
}

/// Newton on the direct function, kept between two temperatures that enclose the answer: where a step would
/// leave them (the curve is flat near its cold end) the middle is taken instead.
double refine(const ThermocoupleType& type, double millivolts, double guess) {
    double low = type.direct.front().low;
    double high = type.direct.back().high;
    double celsius = std::clamp(guess, low, high);
    for (int i = 0; i < 60; ++i) {
        const Emf emf = direct(type, celsius);
        (emf.millivolts < millivolts ? low : high) = celsius;
        double next = celsius - (emf.millivolts - millivolts) / emf.slope;
        if (!(next >= low && next <= high)) next = (low + high) / 2;
        const bool settled = std::fabs(next - celsius) < 1e-9;
        celsius = next;
        if (settled) break;
    }
    return celsius;
}

}  // namespace

const ThermocoupleType* thermocouple_type(char letter) {
    const auto found = std::find_if(kTypes.begin(), kTypes.end(),
                                    [letter](const ThermocoupleType& t) { return t.letter == letter; });
    return found == kTypes.end() ? nullptr : &*found;
}

ThermocoupleRange thermocouple_range(const ThermocoupleType& type) {
    const double low = type.direct.front().low;
    const double high = type.direct.back().high;
    return {low, high, direct(type, low).millivolts, direct(type, high).millivolts};
}

std::optional<double> millivolts_from_celsius(const ThermocoupleType& type, double celsius) {
    const ThermocoupleRange range = thermocouple_range(type);
    if (!(celsius >= range.low_c && celsius <= range.high_c)) return std::nullopt;
    return direct(type, celsius).millivolts;
}

std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts) {
    const ThermocoupleRange range = thermocouple_range(type);
    // The ends are printed to a microvolt, so a person's table value for an end must not be refused.
    if (!(millivolts >= range.low_mv - kEndRoundingMv && millivolts <= range.high_mv + kEndRoundingMv))
        return std::nullopt;
    const double inside = std::clamp(millivolts, range.low_mv, range.high_mv);
    return refine(type, inside, polynomial(piece_at(type.inverse, inside).coefficients, inside).millivolts);
}

std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts,
                                              double cold_junction_c) {
    const std::optional<double> cold = millivolts_from_celsius(type, cold_junction_c);
    if (!cold) return std::nullopt;
    return celsius_from_millivolts(type, millivolts + *cold);
}

}  // namespace drumwatch
