#pragma once

#include <array>
#include <cstdint>

#include "simulator/floor/faults.hpp"
#include "simulator/floor/probe.hpp"
#include "simulator/floor/random.hpp"
#include "simulator/machine/plant.hpp"

namespace drumwatch::simulator {

using Readings = std::array<double, kProbeCount>;  ///< degrees C; NaN is an open probe

/// Turns true temperatures into what the instrument reports: white noise, rounding to 0.1 C, probe faults.
class ProbeBank {
  public:
    /// With `quiet` there is no noise (rounding stays). `room_c`: where the probes' terminals are.
    ProbeBank(std::uint64_t seed, bool quiet, double room_c)
        : random_(seed), twin_random_(~seed), quiet_(quiet), room_c_(room_c) {}
    /// To be called once a step, so that the noise depends on the seed and the simulated time alone.
    const Readings& read(const PlantProbes& truth, const FaultPlan& faults,
                         std::optional<double> since_first_charge_s);

  private:
    void apply_faults(Probe probe, const FaultPlan& faults, std::optional<double> since_first_charge_s);
    Random random_;
    Random twin_random_;  ///< of its own, so that the others' noise is what it was without a twin
    bool quiet_;
    double room_c_;
    Readings readings_{};
    std::array<std::optional<double>, kProbeCount> frozen_c_;
};

}  // namespace drumwatch::simulator
