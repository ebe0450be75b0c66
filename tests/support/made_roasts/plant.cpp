#include "support/made_roasts/plant.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

constexpr double kGas_kj = 1.08;  // kJ/(kg K)
constexpr double kSteam_kj = 2790;
constexpr double kSelfHeat_kj = 232;  // in all, per kg dry
constexpr double kRoom_c = 24;
constexpr double kKelvin = 273.15;

struct Flows {
    double to_beans = 0;
    double to_metal = 0;
    double outlet_c = 0;
};

/// Gas that passes beans and metal once: it comes to the mean of both, weighted by conductance.
Flows gas(const PlantState& state, const PlantConstants& plant, const Controls& controls, bool coffee) {
    const double flow = plant.gas_kg_s * (0.5 + controls.airflow) * (controls.door_open ? 1.6 : 1);
    const double beans = coffee ? plant.gas_bean_kw : 0;
    const double both = beans + plant.gas_metal_kw;
    const double meets = (beans * state.surface_c + plant.gas_metal_kw * state.metal_c) / both;
    const double effect = 1 - std::exp(-both / (flow * kGas_kj));
    const double given = flow * kGas_kj * (state.inlet_c - meets) * effect;
    Flows flows;
    const double share = beans / both;
    const double exchange = beans * plant.gas_metal_kw / both * (state.metal_c - state.surface_c) * effect;
    flows.to_beans = given * share + exchange;
    flows.to_metal = given * (1 - share) - exchange;
    flows.outlet_c = state.inlet_c - given / (flow * kGas_kj);
    return flows;
}

double heat_capacity(const PlantState& state, double mean_c) {
    return (1.05 + 0.0075 * mean_c + 4.8 * state.moisture) / (1 + state.moisture);
}

void warm_beans(PlantState& state, const PlantConstants& plant, double into_surface_kw, double dt_s) {
    const double mean = bean_c(state, plant);
    const double kelvin = mean + kKelvin;
    const double wet = state.moisture;
    double dried = plant.drying * 1.15e8 * wet * wet * std::exp(-9700 / kelvin);
    if (state.cracked_since_s >= 0) {
        const double z = (state.cracked_since_s - plant.crack_s) / (plant.crack_s / 2);
        dried += plant.crack_steam / plant.crack_s * std::exp(-z * z);
        state.cracked_since_s += dt_s;
    }
    const double left = std::max(0.0, 1 - state.heat_given_kj / kSelfHeat_kj);
    const double roasted = 110'000 * std::exp(-5'480 / kelvin) * left;
    const double inner_kw = (plant.self_heat * roasted - kSteam_kj * dried) / (1 + wet);
    const double surface_kj = heat_capacity(state, mean) * plant.surface_share;
    const double core_kj = heat_capacity(state, mean) * (1 - plant.surface_share);
    const double inwards = plant.core_kw * (state.surface_c - state.core_c);
    state.surface_c += (into_surface_kw + inner_kw * plant.surface_share - inwards) / surface_kj * dt_s;
    state.core_c += (inner_kw * (1 - plant.surface_share) + inwards) / core_kj * dt_s;
    state.moisture = std::max(0.0, wet - dried * dt_s);
    state.heat_given_kj += roasted * dt_s;
}

}  // namespace

double bean_c(const PlantState& state, const PlantConstants& plant) {
    return plant.surface_share * state.surface_c + (1 - plant.surface_share) * state.core_c;
}

void charge(PlantState& state, const PlantConstants& plant, double green_c) {
    state.surface_c = green_c;
    state.core_c = green_c;
    state.moisture = plant.moisture;
    state.heat_given_kj = 0;
    state.cracked_since_s = -1;
}

void advance(PlantState& state, const PlantConstants& plant, const Controls& controls, bool coffee,
             double dt_s) {
    const double wanted = plant.gas_low_c + plant.gas_span_c * controls.burner;
    state.inlet_c += (wanted - state.inlet_c) * dt_s / plant.burner_lag_s;
    const Flows flows = gas(state, plant, controls, coffee);
    const double contact = coffee ? plant.metal_bean_kw * (state.metal_c - state.surface_c) : 0;
    const double metal_kw = flows.to_metal + plant.flame_kw * controls.burner - contact -
                            plant.loss_kw * (state.metal_c - kRoom_c) * (controls.door_open ? 4 : 1);
    if (coffee) warm_beans(state, plant, flows.to_beans + contact, dt_s);
    state.metal_c += metal_kw / plant.metal_kj * dt_s;
    state.outlet_c = flows.outlet_c;
    const double bed = coffee
                           ? plant.probe_surface * state.surface_c + (1 - plant.probe_surface) * state.core_c
                           : (controls.door_open ? 0.3 * kRoom_c + 0.7 * state.metal_c
                                                 : 0.5 * (state.metal_c + state.outlet_c));
    const double felt = (1 - plant.probe_gas) * bed + plant.probe_gas * state.outlet_c;
    state.probe_c += (felt - state.probe_c) * dt_s / plant.probe_lag_s;
    state.exhaust_c += (state.outlet_c - state.exhaust_c) * dt_s / 12;
}

}  // namespace drumwatch
