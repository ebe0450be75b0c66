#include "drivers/sensors/thermocouple.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <tuple>
#include <type_traits>
#include <utility>

#include "drivers/sensors/thermocouple_tables_base.hpp"
#include "drivers/sensors/thermocouple_tables_platinum.hpp"

// A type is a template argument, so that its pieces are known to the compiler: choosing one is a comparison
// or two, and each polynomial is straight code. That is what makes an answer cost a few times the bare
// polynomial (tools/bench/thermocouple.cpp).
namespace drumwatch {
namespace {

struct Emf {
    double millivolts = 0;
    double slope = 0;  ///< millivolts per degree
};

template <const auto& Pieces>
constexpr std::size_t kPieces = std::tuple_size_v<std::remove_cvref_t<decltype(Pieces)>>;

template <typename... Piece>
constexpr const auto& first_of(const std::tuple<Piece...>& pieces) {
    return std::get<0>(pieces);
}
template <typename... Piece>
constexpr const auto& last_of(const std::tuple<Piece...>& pieces) {
    return std::get<sizeof...(Piece) - 1>(pieces);
}

/// As long as a power of two, so that a row is found by a shift.
template <std::size_t Terms>
struct alignas(128) InverseRow {
    std::array<double, Terms> coefficients{};
};

/// The pieces of an inverse, each filled up to the longest: zeros above the highest order change no bit.
template <typename Type>
constexpr auto inverse_table() {
    constexpr auto kMostTerms = std::apply(
        [](const auto&... piece) { return std::max({piece.coefficients.size()...}); }, Type::inverse);
    return std::apply(
        [](const auto&... piece) {
            std::array<InverseRow<kMostTerms>, sizeof...(piece)> table{};
            std::size_t row = 0;
            (std::copy(piece.coefficients.begin(), piece.coefficients.end(),
                       table[row++].coefficients.begin()),
             ...);
            return table;
        },
        Type::inverse);
}

template <typename Type>
std::size_t inverse_piece(double millivolts) {
    return [millivolts]<std::size_t... I>(std::index_sequence<I...>) {
        return (static_cast<std::size_t>(millivolts > std::get<I + 1>(Type::inverse).low) + ...);
    }
    (std::make_index_sequence<kPieces<Type::inverse> - 1>{});
}

/// Where two pieces of R and S overlap, the upper is the closer one. A processor can foresee which of two
/// pieces is next, not which of four: those are chosen by counting, without a jump.
template <typename Type, std::size_t I = 0>
double inverse_polynomial(double millivolts) {
    if constexpr (3 < kPieces<Type::inverse>) {
        static constexpr auto kTable = inverse_table<Type>();
        return polynomial_of(kTable[inverse_piece<Type>(millivolts)].coefficients, millivolts);
    } else {
        constexpr const auto& kPiece = std::get<I>(Type::inverse);
        if constexpr (I + 1 < kPieces<Type::inverse>) {
            if (millivolts > std::get<I + 1>(Type::inverse).low)
                return inverse_polynomial<Type, I + 1>(millivolts);
        }
        return polynomial_of(kPiece.coefficients, millivolts);
    }
}

template <typename Type, std::size_t I = 0>
constexpr Emf direct_polynomial(double celsius) {
    constexpr const auto& kPiece = std::get<I>(Type::direct);
    if constexpr (I + 1 < kPieces<Type::direct>) {
        if (celsius > kPiece.high) return direct_polynomial<Type, I + 1>(celsius);
    }
    constexpr auto kSlope = derivative_of(kPiece.coefficients);
    return {polynomial_of(kPiece.coefficients, celsius), polynomial_of(kSlope, celsius)};
}

/// Where the bump is smaller than this, in natural logarithms of its top, an inverse may leave it out:
/// 2e-9 mV, 5e-8 degrees.
constexpr double kNoBump = -18;
constexpr double kWholeBump = -1000;  // beyond this exp() is zero

/// Each step of Newton's method leaves about the square of the one before: 1e-8 degrees and less.
constexpr double kSettled_c = 1e-4;

template <typename Type>
[[gnu::always_inline]] inline Emf direct(double celsius, double least_exponent) {
    Emf emf = direct_polynomial<Type>(celsius);
    if constexpr (Type::bump.a0 != 0) {
        const double off = celsius - Type::bump.a2;
        const double exponent = Type::bump.a1 * off * off;
        if (celsius > 0 && exponent > least_exponent) {
            const double bump = Type::bump.a0 * std::exp(exponent);
            emf.millivolts += bump;
            emf.slope += bump * 2 * Type::bump.a1 * off;
        }
    }
    return emf;
}

/// Type K's bump is nothing at either end (3e-81 mV at the hot one), so polynomials give the ends.
template <typename Type>
constexpr ThermocoupleRange range_of() {
    const double low_c = first_of(Type::direct).low;
    const double high_c = last_of(Type::direct).high;
    const double first_mv = first_of(Type::inverse).low;  // type B begins here and not at its coldest
    return {low_c, high_c, first_mv < 0 ? direct_polynomial<Type>(low_c).millivolts : first_mv,
            direct_polynomial<Type>(high_c).millivolts};
}

/// The ends are printed to a microvolt, so a person's table value for an end must not be refused.
template <typename Type>
bool in_range(double millivolts) {
    constexpr double kLow = range_of<Type>().low_mv - kEndRoundingMv;
    constexpr double kHigh = range_of<Type>().high_mv + kEndRoundingMv;
    return millivolts >= kLow && millivolts <= kHigh;
}

/// Where the published inverse does not reach, and the curve may be nearly flat: Newton's method kept between
/// two temperatures that enclose the answer; a step that would leave them is replaced by the middle. It
/// begins on a parabola with its foot at the cold end, which is what the curves nearly are there.
template <typename Type>
double search(double millivolts) {
    constexpr ThermocouplePiece kFirst = first_of(Type::inverse);
    constexpr double kFirst_c = polynomial_of(kFirst.coefficients, kFirst.low);
    constexpr double kLow_mv = range_of<Type>().low_mv;
    double low = first_of(Type::direct).low;
    double high = kFirst_c + 1;  // more than the published inverse may be off
    if (millivolts <= kLow_mv) return low;
    double celsius = low + (kFirst_c - low) * std::sqrt((millivolts - kLow_mv) / (kFirst.low - kLow_mv));
    for (int i = 0; i < 60; ++i) {
        const Emf emf = direct<Type>(celsius, kNoBump);
        (emf.millivolts < millivolts ? low : high) = celsius;
        double next = celsius - (emf.millivolts - millivolts) / emf.slope;
        if (!(next >= low && next <= high)) next = (low + high) / 2;
        const bool settled = std::fabs(next - celsius) < kSettled_c;
        celsius = next;
        if (settled) break;
    }
    return celsius;
}

/// After a step that was long: the slope is still good to a thousandth, and what is left is small.
template <typename Type>
[[gnu::noinline]] double second_step(double millivolts, double celsius, double slope) {
    return celsius - (direct<Type>(celsius, kNoBump).millivolts - millivolts) / slope;
}

/// The published inverse is within 0.06 degrees: one step of Newton's method, two where the first is long.
template <typename Type, std::size_t I = 0>
double refined(double millivolts) {
    constexpr const auto& kPiece = std::get<I>(Type::inverse);
    if constexpr (I + 1 < kPieces<Type::inverse>) {
        if (millivolts > std::get<I + 1>(Type::inverse).low) return refined<Type, I + 1>(millivolts);
    }
    const double guess = polynomial_of(kPiece.coefficients, millivolts);
    const Emf emf = direct<Type>(guess, kNoBump);
    const double step = (emf.millivolts - millivolts) / emf.slope;
    const double celsius = guess - step;
    if (std::fabs(step) < kPiece.long_step_c) return celsius;
    return second_step<Type>(millivolts, celsius, emf.slope);
}

// Not a number means nothing in these three: an optional would travel through memory.
constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();

template <typename Type>
double direct_function(double celsius) {
    if (!(celsius >= first_of(Type::direct).low && celsius <= last_of(Type::direct).high)) return kNothing;
    return direct<Type>(celsius, kWholeBump).millivolts;
}

template <typename Type>
double inverse_function(double millivolts) {
    if (!in_range<Type>(millivolts)) return kNothing;
    constexpr ThermocoupleRange kRange = range_of<Type>();
    if (millivolts < first_of(Type::inverse).low) return search<Type>(millivolts);
    return std::clamp(refined<Type>(millivolts), kRange.low_c, kRange.high_c);
}

template <typename Type>
double published_inverse(double millivolts) {
    constexpr double kLow = first_of(Type::inverse).low - kEndRoundingMv;
    constexpr double kHigh = range_of<Type>().high_mv + kEndRoundingMv;
    if (!(millivolts >= kLow && millivolts <= kHigh)) return kNothing;
    return inverse_polynomial<Type>(millivolts);
}

template <typename Type>
constexpr ThermocoupleType type_of() {
    return {Type::letter, range_of<Type>(), direct_function<Type>, inverse_function<Type>,
            published_inverse<Type>};
}

// The one table of types.
constexpr std::array kTypes{type_of<TypeK>(), type_of<TypeJ>(), type_of<TypeT>(), type_of<TypeE>(),
                            type_of<TypeN>(), type_of<TypeR>(), type_of<TypeS>(), type_of<TypeB>()};

}  // namespace

const ThermocoupleType* thermocouple_type(char letter) {
    const auto found = std::find_if(kTypes.begin(), kTypes.end(),
                                    [letter](const ThermocoupleType& t) { return t.letter == letter; });
    return found == kTypes.end() ? nullptr : &*found;
}

std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts,
                                              double cold_junction_c) {
    const std::optional<double> cold = millivolts_from_celsius(type, cold_junction_c);
    if (!cold) return std::nullopt;
    return celsius_from_millivolts(type, millivolts + *cold);
}

}  // namespace drumwatch
