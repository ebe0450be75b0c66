#pragma once

#include "simulator/machine/machine.hpp"
#include "simulator_model/drum.hpp"
#include "simulator_model/tray.hpp"

namespace drumwatch::simulator {

/// True temperatures as good probes in these places would show them, lag included, noise not.
struct PlantProbes {
    double bean_c, exhaust_c, inlet_c, drum_metal_c, tray_c, oxidiser_c;
};

/// The machine as a physical thing: burner, gas, drum, door, tray, oxidiser. It obeys and never decides.
/// Heat stays in the metal from batch to batch. Advance it with step(); deterministic, one thread.
///
/// Burner closure (own, without a source): G*c*(Tinlet - Tmix) = burner power, Tmix = r*Toutlet +
/// (1-r)*Tambient, and the burner follows its setting with a lag. Gas flow goes with the airflow setting,
/// heat transfer with its root.
class Plant {
  public:
    explicit Plant(Machine machine);

    void set_burner(double pct) { burner_pct_ = pct; }
    void set_airflow(double pct) { airflow_pct_ = pct; }
    double burner_pct() const { return burner_pct_; }
    double airflow_pct() const { return airflow_pct_; }

    /// Green coffee falls into the drum. The drum must be empty.
    void charge(double moisture);
    /// The batch falls into the tray; what still lies there is gone. The door stays open for a while.
    void drop();

    void step(double step_s);

    bool drum_full() const { return drum_full_; }
    bool tray_full() const { return tray_full_; }
    double tray_bean_c() const { return tray_bean_c_; }
    const DrumState& state() const { return state_; }
    double green_moisture() const { return green_moisture_; }
    PlantProbes probes() const;

    /// The burner level that keeps the empty drum where the probe shows `probe_c`, at the present airflow:
    /// what somebody who knows the machine would set.
    double holding_burner_pct(double probe_c) const;

  private:
    DrumParameters parameters() const;
    Fire fire(const DrumParameters& drum, const DrumState& state) const;
    void step_tray(double step_s);
    void step_slow_probes(const DrumParameters& drum, double step_s);

    Machine machine_;
    DrumState state_;
    TrayParameters tray_;
    bool drum_full_ = false;
    bool tray_full_ = false;
    double green_moisture_ = 0.0;
    double burner_pct_ = 0.0;
    double airflow_pct_ = 50.0;
    double flame_pct_ = 0.0;  ///< the burner as it really burns
    double door_s_ = 0.0;     ///< how long the door will still be open
    double tray_bean_c_ = 25.0;
    double tray_moisture_ = 0.02;
    double tray_kg_per_kg_ = 0.9;
    double exhaust_c_ = 25.0;
    double inlet_c_ = 25.0;
    double metal_probe_c_ = 25.0;
    double tray_probe_c_ = 25.0;
    double oxidiser_c_ = 25.0;
};

}  // namespace drumwatch::simulator
