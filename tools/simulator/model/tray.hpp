#pragma once

/// A batch in the cooling tray: room air is drawn through it. dT/dt = -eff * G * c * (T - Tair) / (m * cb),
/// our own balance; the usual figures (about 4 m3 of air per kg, below 40 C in under 4 min) are common
/// practice.
namespace drumwatch::simulator {

struct TrayParameters {
    double air_kg_s_per_kg = 0.020;  ///< per kg of green coffee
    double effectiveness = 0.8;
    double air_kj_kg_k = 1.08;
    double air_c = 22.0;
};

/// K/s (negative while cooling). `batch_kg_per_kg` is the roasted mass per kg of green coffee.
double tray_slope(const TrayParameters& tray, double bean_c, double moisture, double batch_kg_per_kg);

}  // namespace drumwatch::simulator
