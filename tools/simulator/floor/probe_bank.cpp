#include "simulator/floor/probe_bank.hpp"

#include <cmath>
#include <limits>

namespace drumwatch::simulator {
namespace {

/// White noise, standard deviation in degrees: usual for a thermocouple on a good transmitter (common
/// practice, no source); gas probes flutter more.
constexpr Readings kNoise_c{0.08, 0.25, 0.4, 0.1, 0.1, 0.8, 0.08};
constexpr double kFire_c_per_s = 4.0;
constexpr double kFireAtMost_c = 500.0;
constexpr double kSpike_c = 80.0;
constexpr double kFailed_c = 1300.0;
/// Judgement: what a spark beside the cable does to a slow transmitter.
constexpr double kSpark_c = 7.0;
constexpr double kSparkEvery_s = 4.0;
constexpr double kSpark_s = 0.25;
/// Judgement. A real drift takes months; what matters is that it is no jump.
constexpr double kDrift_c_per_s = 1.0;
constexpr double kDriftAtMost_c = 12.0;

double spark_c(double since_s) {
    const double into_s = std::fmod(since_s, kSparkEvery_s);
    const bool down = std::fmod(since_s, 2 * kSparkEvery_s) >= kSparkEvery_s;
    if (into_s >= kSpark_s) return 0;
    return down ? -kSpark_c : kSpark_c;
}

double rounded(double value_c) { return std::round(value_c * 10.0) / 10.0; }

}  // namespace

const Readings& ProbeBank::read(const PlantProbes& truth, const FaultPlan& faults,
                                std::optional<double> since_first_charge_s) {
    readings_ = {truth.bean_c, truth.exhaust_c,  truth.inlet_c, truth.drum_metal_c,
                 truth.tray_c, truth.oxidiser_c, truth.bean_c};
    for (std::size_t i = 0; i < kProbeCount; ++i) {
        Random& random = static_cast<Probe>(i) == Probe::twin ? twin_random_ : random_;
        const double noise_c = kNoise_c[i] * random.normal();
        if (!quiet_) readings_[i] += noise_c;
    }
    for (std::size_t i = 0; i < kProbeCount; ++i)
        apply_faults(static_cast<Probe>(i), faults, since_first_charge_s);
    for (double& reading : readings_) reading = rounded(reading);
    return readings_;
}

/// From what the machine does through what the probe does to what its wires make of it.
void ProbeBank::apply_faults(Probe probe, const FaultPlan& faults,
                             std::optional<double> since_first_charge_s) {
    const auto index = static_cast<std::size_t>(probe);
    double& reading_c = readings_[index];
    const auto since_s = [&](FaultKind kind) {
        return faults.active_for_s(kind, since_first_charge_s, probe);
    };
    const bool in_fire = probe == Probe::bean || probe == Probe::exhaust || probe == Probe::twin;
    if (const auto s = since_s(FaultKind::chaff_fire); s && in_fire)
        reading_c += std::fmin(kFire_c_per_s * *s, kFireAtMost_c);
    if (const auto s = since_s(FaultKind::drifted))
        reading_c += std::fmin(kDrift_c_per_s * *s, kDriftAtMost_c);
    if (const auto s = since_s(FaultKind::noisy)) reading_c += spark_c(*s);
    if (const auto s = since_s(FaultKind::spike); s && std::fmod(*s, 5.0) < 0.5) reading_c += kSpike_c;
    if (since_s(FaultKind::frozen)) {
        if (!frozen_c_[index]) frozen_c_[index] = reading_c;
        reading_c = *frozen_c_[index];
    } else {
        frozen_c_[index].reset();
    }
    if (since_s(FaultKind::reversed)) reading_c = 2 * room_c_ - reading_c;
    if (since_s(FaultKind::short_circuit)) reading_c = room_c_;
    if (since_s(FaultKind::out_of_span)) reading_c = kFailed_c;
    if (since_s(FaultKind::open)) reading_c = std::numeric_limits<double>::quiet_NaN();
}

}  // namespace drumwatch::simulator
