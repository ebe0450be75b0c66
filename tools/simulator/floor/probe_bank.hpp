#pragma once

#include <array>
#include <cstdint>

#include "simulator/floor/faults.hpp"
#include "simulator/floor/random.hpp"
#include "simulator/machine/plant.hpp"

namespace drumwatch::simulator {

inline constexpr std::size_t kProbeCount = 6;
/// In this order everywhere, the register map included.
enum class Probe : std::size_t { bean, exhaust, inlet, drum_metal, tray, oxidiser };

using Readings = std::array<double, kProbeCount>;  ///< degrees C; NaN is an open probe

/// Turns true temperatures into what the instrument reports: white noise, rounding to 0.1 C, probe faults.
class ProbeBank {
  public:
    /// With `quiet` there is no noise (rounding stays).
    ProbeBank(std::uint64_t seed, bool quiet) : random_(seed), quiet_(quiet) {}
    /// To be called once a step, so that the noise depends on the seed and the simulated time alone.
    const Readings& read(const PlantProbes& truth, const FaultPlan& faults,
                         std::optional<double> since_first_charge_s);

  private:
    void apply_faults(const FaultPlan& faults, std::optional<double> since_first_charge_s);
    Random random_;
    bool quiet_;
    Readings readings_{};
    std::optional<double> frozen_c_;
};

}  // namespace drumwatch::simulator
