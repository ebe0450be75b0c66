// An invented roast as a probe would show it, for tests: coffee that warms towards a hot drum by Newton's
// law, behind a probe with a first-order lag. Deliberately not the simulator's model nor anything the
// forecast knows.
#pragma once

#include <cmath>
#include <vector>

#include "core/channel.hpp"
#include "core/milli.hpp"
#include "files/roast_csv.hpp"
#include "support/random.hpp"

namespace drumwatch {

struct CurveShape {
    double charge_c = 195;
    double heat_c = 232;  ///< what the coffee would come to
    double time_constant_s = 300;
    double lag_s = 25;     ///< of the probe
    double idle_s = 60;    ///< before charge, the hot empty drum
    double drop_s = 640;   ///< after charge
    double after_s = 60;   ///< the emptied drum with its door open
    double step_s = 0.25;  ///< between readings
    double noise_c = 0.08;
    double quantum_c = 0.1;
    std::uint64_t seed = 1;
};

struct CurvePoint {
    double t_s;     ///< since charge
    double bean_c;  ///< true reading, without noise
};

/// The true reading at every `step_s` from -idle_s to drop_s + after_s.
inline std::vector<CurvePoint> true_curve(const CurveShape& shape) {
    constexpr double kStep_s = 0.01;
    std::vector<CurvePoint> points;
    double probe = shape.charge_c;
    double next_s = -shape.idle_s;
    const auto steps = std::lround((shape.idle_s + shape.drop_s + shape.after_s) / kStep_s);
    for (long i = 0; i <= steps; ++i) {
        const double t = -shape.idle_s + static_cast<double>(i) * kStep_s;
        if (t >= next_s - 1e-9) {
            points.push_back({t, probe});
            next_s += shape.step_s;
        }
        const double coffee =
            22 + (shape.heat_c - 22) * (1 - std::exp(-std::fmax(t, 0) / shape.time_constant_s));
        const double seen = t < 0 ? shape.charge_c : t < shape.drop_s ? coffee : 110;
        probe += (seen - probe) * kStep_s / shape.lag_s;
    }
    return points;
}

inline Channel bean_channel() {
    Channel channel;
    channel.name = "bean";
    channel.role = Role::bean;
    return channel;
}

/// The same as a roast file of one channel, with noise and steps; elapsed_ms 0 is the first row.
inline RoastFile roast_file(const CurveShape& shape) {
    TestRandom random(shape.seed);
    RoastFile file;
    file.channels = {bean_channel()};
    for (const CurvePoint& point : true_curve(shape)) {
        const double noisy = point.bean_c + shape.noise_c * random.normal();
        const double stepped =
            shape.quantum_c > 0 ? std::round(noisy / shape.quantum_c) * shape.quantum_c : noisy;
        RoastRow row;
        row.elapsed_ms = std::llround((point.t_s + shape.idle_s) * 1000);
        row.values = {to_milli(stepped)};
        file.rows.push_back(row);
    }
    return file;
}

/// Rows before `from_s` of the file are not there, and the rest begins at zero.
inline void cut_before(RoastFile& file, double from_s) {
    const std::int64_t from_ms = std::llround(from_s * 1000);
    std::erase_if(file.rows, [&](const RoastRow& row) { return row.elapsed_ms < from_ms; });
    for (RoastRow& row : file.rows) row.elapsed_ms -= from_ms;
}

}  // namespace drumwatch
