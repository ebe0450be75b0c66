#include "drum_case.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "simulator_model/integrate.hpp"

namespace drumwatch::reference {

using namespace simulator;

Case drum_case() {
    Case out;
    out.drum.dry_kg = 1.0 / 1.125;
    out.drum.diameter_mm = 6.0;
    out.drum.gas_kg_s = 0.006;
    out.drum.gas_kj_kg_k = 1.08;
    out.drum.gas_to_beans_kw_k = 0.0085;
    out.drum.gas_to_metal_kw_k = 0.0015;
    out.drum.metal_to_beans_kw_k = 0.003;
    out.drum.metal_kj_k = 1.0;
    out.drum.loss_kw_k = 0.0006;
    out.drum.ambient_c = 25.0;
    out.drum.probe_tau_s = 30.0;
    out.drum.probe_gas_share = 0.05;
    return out;
}

double inlet_c(double at_s) {
    constexpr std::array<std::pair<double, double>, 6> kKnots{
        {{0, 265}, {180, 300}, {330, 318}, {480, 308}, {600, 285}, {720, 270}}};
    for (std::size_t i = 1; i < kKnots.size(); ++i) {
        if (at_s > kKnots[i].first) continue;
        const auto [t0, c0] = kKnots[i - 1];
        const auto [t1, c1] = kKnots[i];
        return c0 + (c1 - c0) * (at_s - t0) / (t1 - t0);
    }
    return kKnots.back().second;
}

Fire fire_at(const Case& of, double at_s) {
    const double gas_c = inlet_c(at_s) + of.inlet_shift_c;
    return {gas_c, of.flame ? 0.28 * (gas_c - 150.0) / 180.0 : 0.0};
}

std::vector<Point> integrate(const Case& of, double until_s, double step_s) {
    DrumState state;
    state.bean_c = 22.0;
    state.metal_c = 195.0;
    state.probe_c = of.charge_probe_c;
    state.moisture = of.moisture;
    if (of.charge_probe_c != 195.0) state.metal_c = of.charge_probe_c;
    std::vector<Point> out;
    const auto steps = std::lround(until_s / step_s);
    for (long i = 0; i <= steps; ++i) {
        const double t_s = static_cast<double>(i) * step_s;
        const Fire now = fire_at(of, t_s);
        out.push_back(
            {t_s, state, heat_flows(of.drum, state.bean_c, state.metal_c, now.inlet_c), now.inlet_c});
        state = runge_kutta_step(state, t_s, step_s, [&](double when_s, const DrumState& s) {
            return slope(of.drum, s, fire_at(of, when_s));
        });
    }
    return out;
}

const Point& at(const std::vector<Point>& points, double at_s) {
    const double step_s = points[1].at_s - points[0].at_s;
    return points.at(static_cast<std::size_t>(std::lround(at_s / step_s)));
}

const Point& turning_point(const std::vector<Point>& points) {
    return *std::min_element(points.begin(), points.end(), [](const Point& a, const Point& b) {
        return a.state.probe_c < b.state.probe_c;
    });
}

std::optional<double> reaches(const std::vector<Point>& points, double probe_c) {
    const double from_s = turning_point(points).at_s;
    for (std::size_t i = 1; i < points.size(); ++i) {
        const double before_c = points[i - 1].state.probe_c;
        const double after_c = points[i].state.probe_c;
        if (points[i].at_s <= from_s || after_c < probe_c) continue;
        return points[i - 1].at_s +
               (points[i].at_s - points[i - 1].at_s) * (probe_c - before_c) / (after_c - before_c);
    }
    return std::nullopt;
}

}  // namespace drumwatch::reference
