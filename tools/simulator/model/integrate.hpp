#pragma once

namespace drumwatch::simulator {

/// One step of the classical fourth-order Runge-Kutta method for dy/dt = slope(t, y).
/// State needs `+` and multiplication by a double from the left; a plain double will do.
template <typename State, typename Slope>
State runge_kutta_step(const State& y, double t_s, double step_s, Slope&& slope) {
    const double half_s = 0.5 * step_s;
    const State k1 = slope(t_s, y);
    const State k2 = slope(t_s + half_s, y + half_s * k1);
    const State k3 = slope(t_s + half_s, y + half_s * k2);
    const State k4 = slope(t_s + step_s, y + step_s * k3);
    return y + (step_s / 6.0) * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
}

}  // namespace drumwatch::simulator
