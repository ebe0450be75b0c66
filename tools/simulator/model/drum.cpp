#include "simulator_model/drum.hpp"

#include <cmath>

#include "simulator_model/beans.hpp"

namespace drumwatch::simulator {
namespace {

bool is_empty(const DrumParameters& drum) { return drum.dry_kg <= 0.0; }

double exchange_kw_k(const DrumParameters& drum) {
    return is_empty(drum) ? drum.gas_to_metal_kw_k : drum.gas_to_beans_kw_k + drum.gas_to_metal_kw_k;
}

void add_bean_slopes(const DrumParameters& drum, const DrumState& state, const HeatFlows& flows,
                     DrumState& out) {
    const double reaction = drum.reaction_scale * reaction_heat(state.bean_c, state.released_kj_kg);
    const double drying = drying_rate(state.bean_c, state.moisture, drum.diameter_mm);
    const double heat_kw = flows.gas_to_beans_kw + flows.metal_to_beans_kw +
                           drum.dry_kg * (reaction - kDesorption_kj_kg * drying);
    const double capacity_kj_k =
        drum.dry_kg * (1.0 + state.moisture) * specific_heat(state.bean_c, state.moisture);
    out.bean_c = heat_kw / capacity_kj_k;
    out.moisture = -drying;
    out.released_kj_kg = reaction;
    out.dry_loss = dry_loss_rate(state.bean_c);
}

}  // namespace

DrumState operator+(const DrumState& a, const DrumState& b) {
    return {a.bean_c + b.bean_c,
            a.metal_c + b.metal_c,
            a.probe_c + b.probe_c,
            a.moisture + b.moisture,
            a.released_kj_kg + b.released_kj_kg,
            a.dry_loss + b.dry_loss};
}

DrumState operator*(double factor, const DrumState& a) {
    return {factor * a.bean_c,   factor * a.metal_c,        factor * a.probe_c,
            factor * a.moisture, factor * a.released_kj_kg, factor * a.dry_loss};
}

double exchange_effectiveness(const DrumParameters& drum) {
    return 1.0 - std::exp(-exchange_kw_k(drum) / (drum.gas_kg_s * drum.gas_kj_kg_k));
}

double exchange_temperature(const DrumParameters& drum, double bean_c, double metal_c) {
    if (is_empty(drum)) return metal_c;
    const double ratio = drum.gas_to_metal_kw_k / drum.gas_to_beans_kw_k;
    return (bean_c + ratio * metal_c) / (1.0 + ratio);
}

HeatFlows heat_flows(const DrumParameters& drum, double bean_c, double metal_c, double inlet_c) {
    HeatFlows flows;
    const double fall_c =
        (inlet_c - exchange_temperature(drum, bean_c, metal_c)) * exchange_effectiveness(drum);
    flows.outlet_c = inlet_c - fall_c;
    flows.gas_kw = drum.gas_kg_s * drum.gas_kj_kg_k * fall_c;
    if (is_empty(drum)) {
        flows.gas_to_metal_kw = flows.gas_kw;
        return flows;
    }
    const double ratio = drum.gas_to_metal_kw_k / drum.gas_to_beans_kw_k;
    flows.gas_to_metal_kw =
        ratio * (flows.gas_kw + drum.gas_to_beans_kw_k * (bean_c - metal_c)) / (1.0 + ratio);
    flows.gas_to_beans_kw = flows.gas_kw - flows.gas_to_metal_kw;
    flows.metal_to_beans_kw = drum.metal_to_beans_kw_k * (metal_c - bean_c);
    return flows;
}

double sensed_c(const DrumParameters& drum, const DrumState& state, const Fire& fire) {
    const double outlet_c = heat_flows(drum, state.bean_c, state.metal_c, fire.inlet_c).outlet_c;
    const double share = is_empty(drum) ? drum.empty_outlet_share : drum.probe_gas_share;
    const double body_c = is_empty(drum) ? state.metal_c : state.bean_c;
    return (1.0 - share) * body_c + share * outlet_c;
}

DrumState slope(const DrumParameters& drum, const DrumState& state, const Fire& fire) {
    const HeatFlows flows = heat_flows(drum, state.bean_c, state.metal_c, fire.inlet_c);
    const double loss_kw = drum.loss_kw_k * (state.metal_c - drum.ambient_c);
    DrumState out;
    out.metal_c =
        (flows.gas_to_metal_kw + fire.flame_kw - flows.metal_to_beans_kw - loss_kw) / drum.metal_kj_k;
    out.probe_c = (sensed_c(drum, state, fire) - state.probe_c) / drum.probe_tau_s;
    if (!is_empty(drum)) add_bean_slopes(drum, state, flows, out);
    return out;
}

double weight_loss(const DrumState& state, double first_moisture) {
    return 1.0 - (1.0 - state.dry_loss + state.moisture) / (1.0 + first_moisture);
}

}  // namespace drumwatch::simulator
