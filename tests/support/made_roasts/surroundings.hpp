// The probes round a made roast that plant.hpp knows nothing of: inlet, tray, ambient, oxidiser, carbon
// monoxide. Plain laws: a first-order answer, a bed that cools towards the room, a controlled chamber that
// swings; judgement, no source.
#pragma once

#include <cmath>

#include "support/made_roasts/made_station.hpp"

namespace drumwatch {

class Surroundings {
  public:
    struct Values {
        double inlet_c = 0;
        double tray_c = 0;
        double ambient_c = 0;
        double oxidiser_c = 0;
        double monoxide_ppm = 0;
    };

    Surroundings(const MadeStation& station, TestRandom& random)
        : plant_(station.site.plant),
          random_(random),
          room_c_(random.uniform(18, 29)),
          chamber_c_(random.uniform(795, 825)),
          phase_(random.uniform(0, 6)),
          cools_s_(random.uniform(75, 108)) {
        inlet_c_ = station.site.charge_c + 20;
        bed_c_ = tray_c_ = room_c_;
    }

    /// Less air through the bed from now on.
    void choke_tray(double times) { cools_s_ *= times; }
    /// The chamber's burner is out from here.
    void let_chamber_cool(double at_s) { cold_from_s_ = at_s; }
    void charged(double at_s) { charged_s_ = at_s; }
    void dropped(double at_s, double bean_c) {
        dropped_s_ = at_s;
        bed_c_ = bean_c - 12;  // the tray is cold
    }

    Values step(double now_s, double dt_s, double burner) {
        inlet_c_ += (plant_.gas_low_c + plant_.gas_span_c * burner - inlet_c_) * std::fmin(1, dt_s / 15);
        Values now;
        now.ambient_c = room_c_ + 2 * std::sin(now_s / 3000) + 0.1 * random_.normal();
        bed_c_ += (room_c_ + 1 - bed_c_) * dt_s / cools_s_;
        tray_c_ += (bed_c_ - tray_c_) * std::fmin(1, dt_s / 6);
        now.tray_c = tray_c_ + 0.15 * random_.normal();
        now.inlet_c = inlet_c_ + 0.5 * random_.normal();
        const double since_charge_s = now_s - charged_s_;
        const double fresh_smoke = since_charge_s > 0 ? 12 * std::exp(-since_charge_s / 60) : 0;
        now.oxidiser_c = chamber_c_ + 12 * std::sin(now_s / 67 + phase_) - fresh_smoke -
                         0.4 * std::fmax(0, now_s - cold_from_s_) + 1.5 * random_.normal();
        const double after_drop_s = now_s - dropped_s_;
        const double puff = 14 * std::exp(-after_drop_s * after_drop_s / 1600);
        now.monoxide_ppm = std::fmax(0, 4 + 2 * std::sin(now_s / 500) + puff + 0.8 * random_.normal());
        return now;
    }

  private:
    const PlantConstants& plant_;
    TestRandom& random_;
    double room_c_;
    double chamber_c_;
    double phase_;
    double cools_s_;  ///< time constant
    double inlet_c_ = 200;
    double bed_c_ = 22;
    double tray_c_ = 22;
    double charged_s_ = 1e9;
    double dropped_s_ = -1e4;
    double cold_from_s_ = 1e9;
};

}  // namespace drumwatch
