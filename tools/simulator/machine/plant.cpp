#include "simulator/machine/plant.hpp"

#include <cmath>
#include <utility>

#include "simulator_model/integrate.hpp"

namespace drumwatch::simulator {
namespace {

// Lags of the probes that stand in gas or metal: ours, without a source; only their order of size matters.
constexpr double kExhaustTau_s = 8.0;
constexpr double kInletTau_s = 5.0;
constexpr double kMetalTau_s = 20.0;
constexpr double kTrayTau_s = 5.0;
constexpr double kOxidiserTau_s = 45.0;
constexpr double kOxidiserSetting_c = 760.0;
constexpr double kTrayEmptyBelow_c = 33.0;

/// First-order lag over one step, exact for a constant input.
void follow(double& value, double input, double tau_s, double step_s) {
    value += (input - value) * (1.0 - std::exp(-step_s / tau_s));
}

}  // namespace

Plant::Plant(Machine machine) : machine_(std::move(machine)) {
    tray_.air_c = machine_.charge_bean_c;
    state_.metal_c = machine_.start_metal_c;
    state_.probe_c = machine_.start_metal_c - 8.0;
    state_.bean_c = machine_.ambient_c;
    airflow_pct_ = machine_.preheat_airflow_pct;
    exhaust_c_ = inlet_c_ = metal_probe_c_ = machine_.start_metal_c - 15.0;
    tray_bean_c_ = tray_probe_c_ = machine_.ambient_c;
    oxidiser_c_ = kOxidiserSetting_c;
}

void Plant::charge(double moisture) {
    drum_full_ = true;
    green_moisture_ = moisture;
    state_.bean_c = machine_.charge_bean_c;
    state_.moisture = moisture;
    state_.released_kj_kg = 0.0;
    state_.dry_loss = 0.0;
    door_s_ = 0.0;
}

void Plant::drop() {
    drum_full_ = false;
    tray_full_ = true;
    tray_bean_c_ = state_.bean_c;
    tray_moisture_ = state_.moisture;
    tray_kg_per_kg_ = 1.0 - weight_loss(state_, green_moisture_);
    door_s_ = machine_.door_open_s;
}

DrumParameters Plant::parameters() const {
    const double kg = machine_.charge_kg;
    const double flow = airflow_pct_ / machine_.gas_airflow_pct;
    const double transfer = std::sqrt(flow);
    const bool open = door_s_ > 0.0;
    DrumParameters drum;
    drum.dry_kg = drum_full_ ? kg / (1.0 + green_moisture_) : 0.0;
    drum.diameter_mm = machine_.bean_diameter_mm;
    drum.gas_kg_s = kg * machine_.gas_kg_s_per_kg * flow;
    drum.gas_to_beans_kw_k = kg * machine_.gas_to_beans_kw_k_per_kg * transfer;
    drum.gas_to_metal_kw_k = kg * machine_.gas_to_metal_kw_k_per_kg * transfer;
    drum.metal_to_beans_kw_k = kg * machine_.metal_to_beans_kw_k_per_kg;
    drum.metal_kj_k = kg * machine_.metal_kj_k_per_kg;
    drum.loss_kw_k = kg * (machine_.loss_kw_k_per_kg + (open ? machine_.door_kw_k_per_kg : 0.0));
    drum.ambient_c = machine_.ambient_c;
    drum.probe_tau_s = machine_.probe_tau_s;
    drum.probe_gas_share = machine_.probe_gas_share;
    drum.empty_outlet_share = machine_.empty_outlet_share;
    return drum;
}

/// Inlet and outlet depend on each other through the recirculated share; both are linear, so solve for the
/// inlet.
Fire Plant::fire(const DrumParameters& drum, const DrumState& state) const {
    const double power_kw = machine_.charge_kg * machine_.gas_kw_per_kg * flame_pct_ / 100.0;
    const double given_up = exchange_effectiveness(drum);
    const double r = machine_.recirculated_share;
    const double bed_c = exchange_temperature(drum, state.bean_c, state.metal_c);
    const double lift_c = power_kw / (drum.gas_kg_s * drum.gas_kj_kg_k);
    const double inlet_c =
        (r * given_up * bed_c + (1.0 - r) * drum.ambient_c + lift_c) / (1.0 - r * (1.0 - given_up));
    return {inlet_c, power_kw * machine_.flame_share};
}

void Plant::step(double step_s) {
    follow(flame_pct_, burner_pct_, machine_.burner_lag_s, step_s);
    const DrumParameters drum = parameters();
    const double door_share = door_s_ > 0.0 ? machine_.door_air_share : 0.0;
    state_ = runge_kutta_step(state_, 0.0, step_s, [&](double, const DrumState& now) {
        const Fire fire_now = fire(drum, now);
        DrumState rate = slope(drum, now, fire_now);
        if (door_share > 0.0) {
            const double sensed =
                (1.0 - door_share) * sensed_c(drum, now, fire_now) + door_share * drum.ambient_c;
            rate.probe_c = (sensed - now.probe_c) / drum.probe_tau_s;
        }
        return rate;
    });
    step_tray(step_s);
    step_slow_probes(drum, step_s);
    door_s_ = std::fmax(0.0, door_s_ - step_s);
}

void Plant::step_tray(double step_s) {
    if (!tray_full_) return;
    tray_bean_c_ = runge_kutta_step(tray_bean_c_, 0.0, step_s, [&](double, double bean_c) {
        return tray_slope(tray_, bean_c, tray_moisture_, tray_kg_per_kg_);
    });
    if (tray_bean_c_ < kTrayEmptyBelow_c) tray_full_ = false;
}

void Plant::step_slow_probes(const DrumParameters& drum, double step_s) {
    const Fire now = fire(drum, state_);
    const double outlet_c = heat_flows(drum, state_.bean_c, state_.metal_c, now.inlet_c).outlet_c;
    follow(exhaust_c_, outlet_c, kExhaustTau_s, step_s);
    follow(inlet_c_, now.inlet_c, kInletTau_s, step_s);
    follow(metal_probe_c_, state_.metal_c, kMetalTau_s, step_s);
    follow(tray_probe_c_, tray_full_ ? tray_bean_c_ : machine_.ambient_c, kTrayTau_s, step_s);
    follow(oxidiser_c_, kOxidiserSetting_c + 0.1 * (outlet_c - 200.0), kOxidiserTau_s, step_s);
}

/// Bisection on the level: at each, the metal settles where gains and losses balance, and the probe follows
/// it.
double Plant::holding_burner_pct(double probe_c) const {
    Plant resting = *this;
    resting.drum_full_ = false;
    resting.door_s_ = 0.0;
    const DrumParameters drum = resting.parameters();
    const auto settled_probe_c = [&](double pct) {
        resting.flame_pct_ = pct;
        double low_c = drum.ambient_c, high_c = 600.0;
        DrumState state;
        for (int i = 0; i < 40; ++i) {
            state.metal_c = 0.5 * (low_c + high_c);
            const bool gains = slope(drum, state, resting.fire(drum, state)).metal_c > 0.0;
            (gains ? low_c : high_c) = state.metal_c;
        }
        return sensed_c(drum, state, resting.fire(drum, state));
    };
    double low_pct = 0.0, high_pct = 100.0;
    for (int i = 0; i < 30; ++i) {
        const double middle_pct = 0.5 * (low_pct + high_pct);
        (settled_probe_c(middle_pct) < probe_c ? low_pct : high_pct) = middle_pct;
    }
    return 0.5 * (low_pct + high_pct);
}

PlantProbes Plant::probes() const {
    return {state_.probe_c, exhaust_c_, inlet_c_, metal_probe_c_, tray_probe_c_, oxidiser_c_};
}

}  // namespace drumwatch::simulator
