// A roasting machine with coffee in it, for making roasts that the forecast was not tuned on. Its physics are
// neither the simulator's nor anything the forecast knows: a bean is two bodies, surface and core, the metal
// is one, gas passes once; drying and the heat of roasting are Arrhenius laws with constants that differ from
// coffee to coffee. Numbers are judgement within the ranges of H. G. Schwartzberg, "Modeling bean heating
// during batch roasting of coffee beans" (2002), from memory. Per kg of green coffee; kW, kJ, kg, s, degrees
// Celsius.
#pragma once

namespace drumwatch {

/// How one machine and one coffee are made.
struct PlantConstants {
    double gas_kg_s = 0.006;        ///< flow of gas at airflow 50 %
    double gas_bean_kw = 0.0090;    ///< conductance to the beans' surface, kW/K
    double gas_metal_kw = 0.0015;   ///< kW/K
    double metal_bean_kw = 0.0030;  ///< kW/K
    double metal_kj = 1.0;          ///< heat that the metal takes, kJ/K
    double loss_kw = 0.0006;        ///< metal to the room, kW/K
    double flame_kw = 0.22;         ///< to the metal straight, at burner 100 %
    double core_kw = 0.030;         ///< between surface and core, kW/K
    double surface_share = 0.35;    ///< of the bean's heat capacity
    double drying = 1.0;            ///< times the law
    double self_heat = 0.7;         ///< times the law
    double crack_steam = 0.0015;    ///< kg/kg of water that leaves at first crack, over crack_s
    double crack_s = 55;
    double moisture = 0.115;  ///< kg/kg dry, green
    double gas_low_c = 150;   ///< inlet gas at burner 0 %
    double gas_span_c = 210;  ///< more at 100 %
    double burner_lag_s = 15;
    double probe_lag_s = 22;
    double probe_gas = 0.06;      ///< share of the gas in what the probe feels
    double probe_surface = 0.75;  ///< share of the surface in the bean's part
};

struct PlantState {
    double surface_c = 22;
    double core_c = 22;
    double metal_c = 200;
    double moisture = 0.115;
    double heat_given_kj = 0;  ///< by roasting, per kg dry
    double inlet_c = 250;
    double outlet_c = 200;
    double probe_c = 200;
    double exhaust_c = 200;       ///< what the exhaust probe says
    double cracked_since_s = -1;  ///< seconds since first crack; negative: not yet
};

struct Controls {
    double burner = 0.7;   ///< 0 to 1
    double airflow = 0.5;  ///< 0 to 1
    bool door_open = false;
};

/// Mean bean temperature.
double bean_c(const PlantState& state, const PlantConstants& plant);

/// `coffee`: beans are in the drum. Steps of 0.25 s or less.
void advance(PlantState& state, const PlantConstants& plant, const Controls& controls, bool coffee,
             double dt_s);

/// Charged: green coffee of this temperature.
void charge(PlantState& state, const PlantConstants& plant, double green_c);

}  // namespace drumwatch
