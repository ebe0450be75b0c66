#include "simulator/operators/trainee.hpp"

#include <algorithm>
#include <string>

namespace drumwatch::simulator {
namespace {

constexpr double kSamePress_s = 4.0;        ///< presses no further apart than this are one move
constexpr double kLeastAirflow_pct = 10.0;  ///< the fan of the model does not turn slower

}  // namespace

Trainee::Trainee(const Machine& machine)
    : machine_(machine), burner_pct_(machine.charge_burner_pct), airflow_pct_(machine.charge_airflow_pct) {}

void Trainee::act(Floor& floor) {
    if (!floor.roasting()) {
        preheater_.act(floor, machine_.charge_probe_c);
        floor.set_airflow(machine_.preheat_airflow_pct);
        floor.set_status(preheater_.steady() ? Status::ready_to_charge : Status::preheating);
        return;
    }
    const double since_s = *floor.since_charge_s();
    roast_.first_crack_at_s = floor.first_crack_at_s();
    if (roast_.curve.empty() || since_s >= roast_.curve.back().first + 1.0) {
        roast_.curve.emplace_back(since_s, floor.bean_reading_c());
    }
}

void Trainee::change(Floor& floor, Control control, double by_pct) {
    double& level_pct = control == Control::burner ? burner_pct_ : airflow_pct_;
    const double least_pct = control == Control::burner ? 0.0 : kLeastAirflow_pct;
    const double from_pct = level_pct;
    level_pct = std::clamp(level_pct + by_pct, least_pct, 100.0);
    if (!floor.roasting() || level_pct == from_pct) return;
    if (control == Control::burner) {
        floor.set_burner(level_pct);
    } else {
        floor.set_airflow(level_pct);
    }
    note_move(floor, control, from_pct, level_pct);
}

void Trainee::note_move(const Floor& floor, Control control, double from_pct, double to_pct) {
    const double since_s = *floor.since_charge_s();
    const auto last = std::find_if(roast_.moves.rbegin(), roast_.moves.rend(),
                                   [&](const MadeMove& move) { return move.control == control; });
    if (last != roast_.moves.rend() && since_s - last->last_press_s <= kSamePress_s) {
        last->to_pct = to_pct;
        last->last_press_s = since_s;
    } else {
        roast_.moves.push_back({control, from_pct, to_pct, since_s, since_s});
    }
}

bool Trainee::charge(Floor& floor) {
    if (floor.roasting()) return false;
    roast_ = HandRoast{};
    roast_.charge_c = floor.bean_reading_c();
    floor.set_burner(burner_pct_);
    floor.set_airflow(airflow_pct_);
    floor.charge({});
    return true;
}

bool Trainee::drop(Floor& floor) {
    if (!floor.roasting()) return false;
    roast_.drop_at_s = *floor.since_charge_s();
    roast_.weight_loss_pct = floor.weight_loss_pct();
    for (const MadeMove& move : roast_.moves) {
        floor.note("move", {{"control", std::string(control_name(move.control))},
                            {"to_pct", move.to_pct},
                            {"made_at_s", move.at_s}});
    }
    floor.drop();
    burner_pct_ = machine_.charge_burner_pct;
    airflow_pct_ = machine_.charge_airflow_pct;
    preheater_.restart();
    return true;
}

}  // namespace drumwatch::simulator
