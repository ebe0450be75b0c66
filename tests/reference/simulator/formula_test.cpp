// Single formulas against figures worked out by hand from the published expressions (Schwartzberg 2002, from
// memory of the chapter), and against theory where theory has an exact answer.
#include <doctest/doctest.h>

#include <cmath>

#include "drum_case.hpp"
#include "simulator_model/beans.hpp"
#include "simulator_model/integrate.hpp"

using namespace drumwatch::simulator;
using namespace drumwatch::reference;

TEST_CASE("Specific heat of beans at 25 C and at 200 C") {
    // (1.099 + 0.0070*25 + 5.0*0.12) / 1.12 and (1.099 + 0.0070*200 + 5.0*0.03) / 1.03
    CHECK(specific_heat(25.0, 0.12) == doctest::Approx(1.673).epsilon(0.0003));
    CHECK(specific_heat(200.0, 0.03) == doctest::Approx(2.572).epsilon(0.0003));
}

TEST_CASE("Drying rate at 150 C and at 200 C") {
    CHECK(drying_rate(150.0, 0.1, 6.0) == doctest::Approx(8.506e-5).epsilon(0.0002));
    CHECK(drying_rate(200.0, 0.1, 6.0) == doctest::Approx(1.00525e-3).epsilon(0.0002));
}

TEST_CASE("Reaction heat at 150 C and at 200 C, nothing released yet") {
    CHECK(reaction_heat(150.0, 0.0) == doctest::Approx(0.26324).epsilon(0.0002));
    CHECK(reaction_heat(200.0, 0.0) == doctest::Approx(1.03961).epsilon(0.0002));
    CHECK(reaction_heat(200.0, kReaction_kj_kg) == 0.0);
}

TEST_CASE("Dry matter lost in two minutes at rising heat stays in the published classes") {
    // Clarke and Vitzthum (eds), Coffee: Recent Developments, 2001, from memory: light 1-5 %, medium 5-8 %,
    // dark 8-12 %.
    const double light = 240.0 * dry_loss_rate(205.0);
    const double dark = 240.0 * dry_loss_rate(226.0);
    CHECK(light > 0.01);
    CHECK(light < 0.08);
    CHECK(dark > 0.08);
    CHECK(dark < 0.17);
}

TEST_CASE("Cracked share follows the normal distribution") {
    // Standard normal table: 0.5 at the mean, 0.8413 one, 0.9772 two standard deviations above.
    CHECK(cracked_share(200.5, 200.5, 3.0) == doctest::Approx(0.5));
    CHECK(cracked_share(203.5, 200.5, 3.0) == doctest::Approx(0.8413).epsilon(0.0001));
    CHECK(cracked_share(206.5, 200.5, 3.0) == doctest::Approx(0.9772).epsilon(0.0001));
    CHECK(cracked_share(194.5, 200.5, 3.0) == doctest::Approx(0.0228).epsilon(0.003));
}

TEST_CASE("A lagging probe in a ramp stands tau times the slope below") {
    // First-order theory: 4.0 K at 8 K/min and 30 s.
    double probe_c = 100.0;
    double t_s = 0.0;
    for (; t_s < 600.0; t_s += 0.5) {
        probe_c = runge_kutta_step(probe_c, t_s, 0.5, [](double when_s, double reading_c) {
            return (100.0 + 8.0 / 60.0 * when_s - reading_c) / 30.0;
        });
    }
    CHECK(100.0 + 8.0 / 60.0 * t_s - probe_c == doctest::Approx(4.0).epsilon(0.0001));
}

TEST_CASE("The probe equals what it senses at the turning point") {
    const Case drum = drum_case();
    const auto points = integrate(drum, 120.0, 0.1);
    const Point& turn = turning_point(points);
    const double sensed = sensed_c(drum.drum, turn.state, fire_at(drum, turn.at_s));
    CHECK(turn.state.probe_c == doctest::Approx(sensed).epsilon(0.0005));
}

TEST_CASE("The gas splits its heat between beans and metal without loss") {
    const Case drum = drum_case();
    const HeatFlows flows = heat_flows(drum.drum, 150.0, 180.0, 307.0);
    CHECK(flows.gas_to_beans_kw + flows.gas_to_metal_kw == doctest::Approx(flows.gas_kw));
    CHECK(flows.gas_kw == doctest::Approx(0.006 * 1.08 * (307.0 - flows.outlet_c)));
    // Cold metal takes heat from the beans, hot metal gives it.
    CHECK(flows.metal_to_beans_kw > 0.0);
    CHECK(heat_flows(drum.drum, 150.0, 100.0, 307.0).metal_to_beans_kw < 0.0);
}
