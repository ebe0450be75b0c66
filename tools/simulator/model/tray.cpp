#include "simulator_model/tray.hpp"

#include "simulator_model/beans.hpp"

namespace drumwatch::simulator {

double tray_slope(const TrayParameters& tray, double bean_c, double moisture, double batch_kg_per_kg) {
    const double taken_kw_k = tray.effectiveness * tray.air_kg_s_per_kg * tray.air_kj_kg_k;
    return -taken_kw_k * (bean_c - tray.air_c) / (batch_kg_per_kg * specific_heat(bean_c, moisture));
}

}  // namespace drumwatch::simulator
