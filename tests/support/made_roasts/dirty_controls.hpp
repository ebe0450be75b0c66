// What the line of a control shows of the levels in a made roast: a valve or a hand that travels for some
// seconds, and readings that jitter by a share of a per cent.
#pragma once

#include <algorithm>
#include <cmath>

#include "core/milli.hpp"
#include "files/roast_csv.hpp"
#include "support/random.hpp"

namespace drumwatch {

/// Each control takes `travel_s` from one level to the next and is read with a standard deviation of
/// `jitter_pct`, in tenths of a per cent.
inline void dirty_controls(RoastFile& file, double travel_s, double jitter_pct, TestRandom& random) {
    for (std::size_t channel = 0; channel < file.channels.size(); ++channel) {
        const Role role = file.channels[channel].role;
        if (role != Role::burner && role != Role::airflow) continue;
        double shown = 0, from = 0, to = 0, begun_s = -1000;
        bool first = true;
        for (RoastRow& row : file.rows) {
            const double now_s = static_cast<double>(row.elapsed_ms) / 1000;
            const double level = from_milli(row.values[channel].value_or(0));
            if (first) shown = from = to = level;
            first = false;
            if (level != to) {
                from = shown;
                to = level;
                begun_s = now_s;
            }
            const double done = travel_s > 0 ? std::clamp((now_s - begun_s) / travel_s, 0.0, 1.0) : 1;
            shown = from + (to - from) * done;
            const double read = shown + jitter_pct * random.normal();
            row.values[channel] = to_milli(std::clamp(std::round(read * 10) / 10, 0.0, 100.0));
        }
    }
}

}  // namespace drumwatch
