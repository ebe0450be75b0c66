// The drum case at every instant of its table, its milestones, balances and sensitivities (source:
// drum_case.hpp).
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "drum_case.hpp"
#include "simulator_model/beans.hpp"

using namespace drumwatch::simulator;
using namespace drumwatch::reference;

namespace {

constexpr double kStep_s = 0.1;

struct Row {
    double at_s, probe_c, bean_c, metal_c, inlet_c, outlet_c, moisture, released_kj_kg, loss_pct;
};
constexpr std::array<Row, 13> kTable{{
    {0, 195.0, 22.0, 195, 265, 94, 0.1250, 0, 0},
    {30, 97.9, 48.7, 183, 271, 112, 0.1250, 0.1, 0},
    {60, 76.8, 70.2, 175, 277, 127, 0.1250, 0.3, 0},
    {120, 93.0, 103.9, 169, 288, 151, 0.1248, 2.1, 0.02},
    {180, 119.5, 130.0, 172, 300, 171, 0.1236, 7.5, 0.13},
    {240, 142.2, 150.3, 179, 307, 187, 0.1189, 18.8, 0.58},
    {300, 159.2, 164.7, 189, 314, 199, 0.1086, 36.5, 1.57},
    {360, 171.5, 175.1, 199, 316, 208, 0.0935, 59.2, 3.08},
    {420, 180.8, 183.6, 207, 312, 214, 0.0767, 84.5, 4.85},
    {480, 189.1, 191.9, 215, 308, 219, 0.0606, 111.0, 6.72},
    {540, 197.3, 200.2, 221, 296, 223, 0.0463, 137.2, 8.67},
    {600, 205.3, 208.3, 226, 285, 227, 0.0346, 161.7, 10.75},
    {660, 212.8, 215.7, 230, 278, 231, 0.0256, 182.9, 13.08},
}};

double crack_s(const Case& of) { return reaches(integrate(of, 720.0, 0.5), 198.0).value_or(-1.0); }

bool within(double value, double wanted, double tolerance) { return std::fabs(value - wanted) <= tolerance; }

}  // namespace

TEST_CASE("Drum case at every instant of the table") {
    const auto points = integrate(drum_case(), 660.0, kStep_s);
    for (const Row& row : kTable) {
        CAPTURE(row.at_s);
        const Point& here = at(points, row.at_s);
        CAPTURE(here.state.probe_c);
        CHECK(within(here.state.probe_c, row.probe_c, 0.1));
        CHECK(within(here.state.bean_c, row.bean_c, 0.1));
        CHECK(within(here.state.metal_c, row.metal_c, 0.6));
        CHECK(within(here.inlet_c, row.inlet_c, 0.6));
        CHECK(within(here.flows.outlet_c, row.outlet_c, 0.6));
        CHECK(within(here.state.moisture, row.moisture, 0.0001));
        CHECK(within(here.state.released_kj_kg, row.released_kj_kg, 0.1));
        CHECK(within(100.0 * weight_loss(here.state, 0.125), row.loss_pct, 0.02));
    }
}

TEST_CASE("Drum case rate of rise over 30 s") {
    const auto points = integrate(drum_case(), 660.0, kStep_s);
    constexpr std::array<std::pair<double, double>, 10> kRise{{{120, 23.8},
                                                               {180, 26.1},
                                                               {240, 21.3},
                                                               {300, 15.7},
                                                               {360, 11.3},
                                                               {420, 8.9},
                                                               {480, 8.3},
                                                               {540, 8.2},
                                                               {600, 7.9},
                                                               {660, 7.4}}};
    for (const auto& [at_s, rise] : kRise) {
        CAPTURE(at_s);
        const double mean = 2.0 * (at(points, at_s).state.probe_c - at(points, at_s - 30.0).state.probe_c);
        CHECK(within(mean, rise, 0.1));
    }
}

TEST_CASE("Drum case turning point, yellow, crack and drop") {
    const auto points = integrate(drum_case(), 660.0, kStep_s);
    const Point& turn = turning_point(points);
    CHECK(within(turn.at_s, 66.0, 1.0));
    CHECK(within(turn.state.probe_c, 76.5, 0.1));
    CHECK(within(reaches(points, 150.0).value_or(0.0), 266.0, 1.0));
    CHECK(within(reaches(points, 198.0).value_or(0.0), 545.0, 1.0));
    CHECK(within(points.back().state.probe_c, 212.8, 0.1));
}

TEST_CASE("Drum case heat flows at 60 s and at 480 s") {
    const auto points = integrate(drum_case(), 480.0, kStep_s);
    const HeatFlows early = at(points, 60.0).flows;
    CHECK(within(early.outlet_c, 126.7, 0.1));
    CHECK(within(early.gas_to_beans_kw, 0.960, 0.001));
    CHECK(within(early.gas_to_metal_kw, 0.012, 0.001));
    CHECK(within(early.metal_to_beans_kw, 0.315, 0.001));
    const HeatFlows late = at(points, 480.0).flows;
    CHECK(within(late.outlet_c, 219.4, 0.1));
    CHECK(within(late.gas_to_beans_kw, 0.517, 0.001));
    CHECK(within(late.gas_to_metal_kw, 0.057, 0.001));
    CHECK(within(late.metal_to_beans_kw, 0.069, 0.001));
}

TEST_CASE("Drum case moisture and weight loss at crack and at drop") {
    const auto points = integrate(drum_case(), 660.0, kStep_s);
    const Point& crack = at(points, 545.0);
    CHECK(within(crack.state.moisture, 0.045, 0.0005));
    CHECK(within(100.0 * weight_loss(crack.state, 0.125), 8.9, 0.1));
    CHECK(within(points.back().state.moisture, 0.0256, 0.0001));
    CHECK(within(100.0 * weight_loss(points.back().state, 0.125), 13.1, 0.1));
}

TEST_CASE("Drum case energy into the beans equals what they hold") {
    const double dry_kg = 1.0 / 1.125;
    const auto points = integrate(drum_case(), 660.0, 0.05);
    double from_gas = 0.0, from_metal = 0.0, sensible = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) {
        const Point& a = points[i - 1];
        const Point& b = points[i];
        const double step_s = b.at_s - a.at_s;
        from_gas += 0.5 * step_s * (a.flows.gas_to_beans_kw + b.flows.gas_to_beans_kw);
        from_metal += 0.5 * step_s * (a.flows.metal_to_beans_kw + b.flows.metal_to_beans_kw);
        // Heat capacity of the batch straight from the published formula, not from the code under test.
        const double capacity = dry_kg * (1.099 + 0.0070 * 0.5 * (a.state.bean_c + b.state.bean_c) +
                                          5.0 * 0.5 * (a.state.moisture + b.state.moisture));
        sensible += capacity * (b.state.bean_c - a.state.bean_c);
    }
    const double reaction = dry_kg * points.back().state.released_kj_kg;
    const double evaporation = dry_kg * 2790.0 * (0.125 - points.back().state.moisture);
    CHECK(within(from_gas, 427.0, 0.6));
    CHECK(within(from_metal, 83.0, 0.6));
    CHECK(within(from_gas + from_metal, 509.0, 0.6));
    CHECK(within(reaction, 163.0, 0.6));
    CHECK(within(evaporation, 247.0, 0.6));
    CHECK(within(sensible, 425.5, 0.1));
    CHECK(within(from_gas + from_metal + reaction - evaporation, sensible, 0.001));
}

TEST_CASE("Drum case without reaction heat never cracks") {
    Case cold = drum_case();
    cold.drum.reaction_scale = 0.0;
    const auto points = integrate(cold, 660.0, kStep_s);
    CHECK_FALSE(reaches(points, 198.0).has_value());
    CHECK(within(points.back().state.probe_c, 188.0, 0.6));
}

TEST_CASE("Crack time answers changes as the table of sensitivities says") {
    const auto changed = [](auto change) {
        Case out = drum_case();
        change(out);
        return crack_s(out);
    };
    CHECK(within(changed([](Case& c) { c.inlet_shift_c = -10.0; }), 586, 1.5));
    CHECK(within(changed([](Case& c) { c.inlet_shift_c = 10.0; }), 512, 1.5));
    CHECK(within(changed([](Case& c) { c.drum.gas_kg_s *= 0.9; }), 576, 1.5));
    CHECK(within(changed([](Case& c) { c.drum.gas_kg_s *= 1.1; }), 521, 1.5));
    CHECK(within(changed([](Case& c) { c.drum.diameter_mm = 5.5; }), 558, 1.5));
    CHECK(within(changed([](Case& c) { c.drum.diameter_mm = 7.0; }), 518, 1.5));
    CHECK(within(changed([](Case& c) { c.drum.probe_tau_s = 8.0; }), 523, 1.5));
    CHECK(within(changed([](Case& c) { c.drum.probe_tau_s = 40.0; }), 556, 1.5));
    const auto moist = [&](double moisture) {
        return changed([moisture](Case& c) {
            c.moisture = moisture;
            c.drum.dry_kg = 1.0 / (1.0 + moisture);
        });
    };
    CHECK(within(moist(0.11), 500, 1.5));
    CHECK(within(moist(0.14), 593, 1.5));
    CHECK(within(changed([](Case& c) { c.charge_probe_c = 215.0; }), 532, 1.5));
}

TEST_CASE("Halving the step divides the error by sixteen") {
    // Fourth order. The steps meet every knot of the prescribed gas temperature, where its slope jumps.
    const auto end = [](double step_s) { return integrate(drum_case(), 660.0, step_s).back().state; };
    const DrumState exact = end(0.125);
    const auto error_c = [&](double step_s) { return std::fabs(end(step_s).bean_c - exact.bean_c); };
    const double coarse = error_c(10.0), middle = error_c(5.0), fine = error_c(2.5);
    CAPTURE(coarse);
    CAPTURE(middle);
    CAPTURE(fine);
    CHECK(std::log2(coarse / middle) > 3.6);
    CHECK(std::log2(coarse / middle) < 4.6);
    CHECK(std::log2(middle / fine) > 3.7);
    CHECK(std::log2(middle / fine) < 4.4);
}

TEST_CASE("Steps of 0.1, 0.5 and 2 s agree to a second") {
    const double fine_s = *reaches(integrate(drum_case(), 660.0, 0.1), 198.0);
    CHECK(within(*reaches(integrate(drum_case(), 660.0, 0.5), 198.0), fine_s, 1.0));
    CHECK(within(*reaches(integrate(drum_case(), 660.0, 2.0), 198.0), fine_s, 1.0));
}

TEST_CASE("Misread constants are far from the table") {
    // Guards against the misprints that go round: a bean diameter in metres with the millimetre constant
    // turns at 24 C.
    Case metres = drum_case();
    metres.drum.diameter_mm = 0.006;
    const auto points = integrate(metres, 120.0, 0.01);
    CHECK(turning_point(points).state.probe_c < 40.0);
}

TEST_CASE("Beans dry as far as was measured in hot air") {
    // Hernandez, Heyd, Irles, Valdovinos, Trystram, J. Food Eng. 78 (2007) 1141-1148, abstract: from 10.5 %
    // to between 0 and 7 % (dry basis) in ten minutes in air of 190 to 300 C.
    const auto moisture_after = [](double air_c) {
        Case air = drum_case();
        air.moisture = 0.105;
        air.drum.dry_kg = 1.0 / 1.105;
        air.drum.gas_kg_s = 0.1;  // so much that it stays as hot as it came
        air.drum.metal_to_beans_kw_k = 0.0;
        DrumState state;
        state.bean_c = 22.0;
        state.metal_c = air_c;
        state.moisture = 0.105;
        for (int i = 0; i < 1200; ++i) state = state + 0.5 * slope(air.drum, state, Fire{air_c, 0.0});
        return state.moisture;
    };
    CHECK(moisture_after(190.0) < 0.07);
    CHECK(moisture_after(190.0) > 0.01);
    CHECK(moisture_after(300.0) < 0.01);
    CHECK(moisture_after(300.0) >= 0.0);
}
