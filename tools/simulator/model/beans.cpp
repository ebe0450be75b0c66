#include "simulator_model/beans.hpp"

#include <cmath>
#include <numbers>

namespace drumwatch::simulator {
namespace {
constexpr double kKelvin = 273.15;
}

double specific_heat(double bean_c, double moisture) {
    return (1.099 + 0.0070 * bean_c + 5.0 * moisture) / (1.0 + moisture);
}

double drying_rate(double bean_c, double moisture, double diameter_mm) {
    const double share = moisture / diameter_mm;
    return 4.32e9 * share * share * std::exp(-9889.0 / (bean_c + kKelvin));
}

double reaction_heat(double bean_c, double released_kj_kg) {
    return 116200.0 * std::exp(-5500.0 / (bean_c + kKelvin)) * (kReaction_kj_kg - released_kj_kg) /
           kReaction_kj_kg;
}

double dry_loss_rate(double bean_c) { return 5.6e6 * std::exp(-11500.0 / (bean_c + kKelvin)); }

double cracked_share(double bean_c, double mean_c, double sd_c) {
    return 0.5 * std::erfc((mean_c - bean_c) / (sd_c * std::numbers::sqrt2));
}

}  // namespace drumwatch::simulator
