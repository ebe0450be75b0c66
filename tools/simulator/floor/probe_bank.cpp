#include "simulator/floor/probe_bank.hpp"

#include <cmath>
#include <limits>

namespace drumwatch::simulator {
namespace {

/// White noise, standard deviation in degrees: usual for a thermocouple on a good transmitter (common
/// practice, no source); gas probes flutter more.
constexpr Readings kNoise_c{0.08, 0.25, 0.4, 0.1, 0.1, 0.8};
constexpr double kFire_c_per_s = 4.0;
constexpr double kFireAtMost_c = 500.0;
constexpr double kSpike_c = 80.0;

double rounded(double value_c) { return std::round(value_c * 10.0) / 10.0; }

}  // namespace

const Readings& ProbeBank::read(const PlantProbes& truth, const FaultPlan& faults,
                                std::optional<double> since_first_charge_s) {
    readings_ = {truth.bean_c,       truth.exhaust_c, truth.inlet_c,
                 truth.drum_metal_c, truth.tray_c,    truth.oxidiser_c};
    for (std::size_t i = 0; i < kProbeCount; ++i) {
        const double noise_c = kNoise_c[i] * random_.normal();
        if (!quiet_) readings_[i] += noise_c;
    }
    apply_faults(faults, since_first_charge_s);
    for (double& reading : readings_) reading = rounded(reading);
    return readings_;
}

void ProbeBank::apply_faults(const FaultPlan& faults, std::optional<double> since_first_charge_s) {
    double& bean_c = readings_[static_cast<std::size_t>(Probe::bean)];
    double& exhaust_c = readings_[static_cast<std::size_t>(Probe::exhaust)];
    if (const auto burning_s = faults.active_for_s(FaultKind::chaff_fire, since_first_charge_s)) {
        const double fire_c = std::fmin(kFire_c_per_s * *burning_s, kFireAtMost_c);
        bean_c += fire_c;
        exhaust_c += fire_c;
    }
    if (const auto since_s = faults.active_for_s(FaultKind::spike_bean, since_first_charge_s)) {
        if (std::fmod(*since_s, 5.0) < 0.5) bean_c += kSpike_c;
    }
    if (faults.active(FaultKind::frozen_bean, since_first_charge_s)) {
        if (!frozen_c_) frozen_c_ = bean_c;
        bean_c = *frozen_c_;
    } else {
        frozen_c_.reset();
    }
    if (faults.active(FaultKind::open_bean, since_first_charge_s)) {
        bean_c = std::numeric_limits<double>::quiet_NaN();
    }
}

}  // namespace drumwatch::simulator
