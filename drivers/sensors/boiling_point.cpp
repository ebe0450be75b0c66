#include "drivers/sensors/boiling_point.hpp"

#include <cmath>

namespace drumwatch {

namespace {

// IAPWS R7-97(2012), table 34.
constexpr double n1 = 0.11670521452767e4;
constexpr double n2 = -0.72421316703206e6;
constexpr double n3 = -0.17073846940092e2;
constexpr double n4 = 0.12020824702470e5;
constexpr double n5 = -0.32325550322333e7;
constexpr double n6 = 0.14915108613530e2;
constexpr double n7 = -0.48232657361591e4;
constexpr double n8 = 0.40511340542057e6;
constexpr double n9 = -0.23855557567849;
constexpr double n10 = 0.65017534844798e3;

constexpr double kZeroCelsius_k = 273.15;
constexpr double kHpaPerMpa = 1e4;

// ISO 2533:1975: 15 °C and 1013.25 hPa at sea level, 6.5 K less a kilometre.
constexpr double kSeaLevel_hpa = 1013.25;
constexpr double kSeaLevel_k = 288.15;
constexpr double kLapse_k_per_m = 0.0065;
constexpr double kExponent = 9.80665 / (287.05287 * kLapse_k_per_m);

}  // namespace

std::optional<double> boiling_point_c(double pressure_hpa) {
    if (!(pressure_hpa >= 300 && pressure_hpa <= 1200)) return std::nullopt;
    const double beta = std::pow(pressure_hpa / kHpaPerMpa, 0.25);
    const double e = beta * beta + n3 * beta + n6;
    const double f = n1 * beta * beta + n4 * beta + n7;
    const double g = n2 * beta * beta + n5 * beta + n8;
    const double d = 2 * g / (-f - std::sqrt(f * f - 4 * e * g));
    const double sum = n10 + d;
    return (sum - std::sqrt(sum * sum - 4 * (n9 + n10 * d))) / 2 - kZeroCelsius_k;
}

std::optional<double> standard_pressure_hpa(double altitude_m) {
    if (!(altitude_m >= -500 && altitude_m <= 5000)) return std::nullopt;
    return kSeaLevel_hpa * std::pow(1 - kLapse_k_per_m * altitude_m / kSeaLevel_k, kExponent);
}

}  // namespace drumwatch
