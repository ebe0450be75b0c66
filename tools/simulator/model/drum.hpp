#pragma once

/// A batch in a roasting drum (or a hot-air chamber) as a few lumps: beans, metal, the probe, and gas that
/// passes once through the bed. Pure: no clock, no input, no output. Same source as beans.hpp; the split of
/// the gas's heat between beans and metal closes the energy balance exactly.
namespace drumwatch::simulator {

/// Whole-machine figures (not per kg).
struct DrumParameters {
    double dry_kg = 0.0;  ///< dry bean mass; 0 means an empty drum
    double diameter_mm = 6.0;
    double gas_kg_s = 0.0;
    double gas_kj_kg_k = 1.08;
    double gas_to_beans_kw_k = 0.0;
    double gas_to_metal_kw_k = 0.0;
    double metal_to_beans_kw_k = 0.0;
    double metal_kj_k = 1.0;
    double loss_kw_k = 0.0;
    double ambient_c = 25.0;
    double probe_tau_s = 30.0;
    double probe_gas_share = 0.05;  ///< how much the probe sees of the outlet gas while it sits in beans
    double empty_outlet_share =
        0.3;                      ///< how much it sees of the outlet gas in an empty drum; the rest is metal
    double reaction_scale = 1.0;  ///< 0 switches the reaction heat off
};

/// The state, and (as its time derivative, per second) the slope of each part.
struct DrumState {
    double bean_c = 0.0;
    double metal_c = 0.0;
    double probe_c = 0.0;
    double moisture = 0.0;        ///< kg of water per kg of dry bean
    double released_kj_kg = 0.0;  ///< reaction heat so far, per kg of dry bean
    double dry_loss = 0.0;        ///< share of the dry matter gone
};
DrumState operator+(const DrumState& a, const DrumState& b);
DrumState operator*(double factor, const DrumState& a);

/// What the fire gives: gas at the inlet, and flame straight onto the shell.
struct Fire {
    double inlet_c = 25.0;
    double flame_kw = 0.0;
};

struct HeatFlows {
    double outlet_c = 0.0;
    double gas_kw = 0.0;  ///< given up by the gas
    double gas_to_beans_kw = 0.0;
    double gas_to_metal_kw = 0.0;
    double metal_to_beans_kw = 0.0;  ///< may be negative: cold metal takes heat from the beans
};

/// Share of the gas's excess temperature that is given up on the way through.
double exchange_effectiveness(const DrumParameters& drum);
/// The temperature that the gas would come to if the bed were endless.
double exchange_temperature(const DrumParameters& drum, double bean_c, double metal_c);
HeatFlows heat_flows(const DrumParameters& drum, double bean_c, double metal_c, double inlet_c);

/// What the probe would come to if it had no lag.
double sensed_c(const DrumParameters& drum, const DrumState& state, const Fire& fire);

DrumState slope(const DrumParameters& drum, const DrumState& state, const Fire& fire);

/// Weight lost so far as a share of the green mass; `first_moisture` is the green coffee's.
double weight_loss(const DrumState& state, double first_moisture);

}  // namespace drumwatch::simulator
