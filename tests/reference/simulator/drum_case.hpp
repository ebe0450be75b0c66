#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "simulator_model/drum.hpp"

/// The reference drum case: 1 kg of green coffee with a prescribed inlet gas temperature.
///
/// Source of the case and of every figure it is checked against: a table that an independent implementation
/// of the model of Schwartzberg (2002, see beans.hpp) was integrated to give, checked by a second one before
/// this program existed (worst differences 0.05 K, 0.47 K in the columns of whole degrees, 0.00004 kg/kg).
/// The model's constants are from memory of the chapter, so this proves the integration and the algebra, not
/// that coffee behaves so.
namespace drumwatch::reference {

struct Case {
    simulator::DrumParameters drum;
    double moisture = 0.125;
    double charge_probe_c = 195.0;
    double inlet_shift_c = 0.0;
    bool flame = true;
};

Case drum_case();

/// Prescribed inlet gas temperature, linear between 265@0, 300@180, 318@330, 308@480, 285@600, 270@720 s.
double inlet_c(double at_s);
simulator::Fire fire_at(const Case& of, double at_s);

struct Point {
    double at_s = 0.0;
    simulator::DrumState state;
    simulator::HeatFlows flows;
    double inlet_c = 0.0;
};
/// All points from 0 to `until_s`, a step apart.
std::vector<Point> integrate(const Case& of, double until_s, double step_s);

const Point& at(const std::vector<Point>& points, double at_s);
/// The lowest probe reading.
const Point& turning_point(const std::vector<Point>& points);
/// When the probe reaches `probe_c` on the way up, linear within the step; nothing if it never does.
std::optional<double> reaches(const std::vector<Point>& points, double probe_c);

}  // namespace drumwatch::reference
