#include "simulator/operators/routine.hpp"

#include <cmath>
#include <utility>

namespace drumwatch::simulator {
namespace {

// Batch-to-batch differences at scatter 1, standard deviations (ours, small on purpose: the default roast
// stays within the corridor).
constexpr double kMoistureSd = 0.0006;
constexpr double kChargeSd_c = 0.7;
constexpr double kFirstCrackSd_c = 0.3;
constexpr double kUsualHearing_s = 1.5;
constexpr double kHumanLag_s = 4.0;
constexpr double kScoopReady_s = 3.0;  ///< from "ready" to the beans falling in
constexpr double kGiveUp_c = 262.0;    ///< even an inattentive operator drops here
constexpr double kTooDark_c =
    5.0;  ///< seen by eye when the reading is of no use: beans this far past the drop
constexpr double kNotBefore_s = 20.0;  ///< no temperature trigger while the probe still falls after charge

}  // namespace

bool TriggerWatch::due(const Trigger& when, const Floor& floor, std::optional<double> heard_first_crack_s) {
    const double since_s = floor.since_charge_s().value_or(0.0);
    switch (when.kind) {
        case Trigger::Kind::at_s:
            return since_s >= when.value;
        case Trigger::Kind::after_first_crack_s:
            return heard_first_crack_s && since_s >= *heard_first_crack_s + when.value;
        case Trigger::Kind::bean_c:
            if (since_s > kNotBefore_s && floor.bean_reading_c() < when.value - 2.0) below_ = true;
            return below_ && floor.bean_reading_c() >= when.value;
    }
    return false;
}

RoutineOperator::RoutineOperator(RoutineOptions options)
    : options_(std::move(options)), random_(options_.seed ^ 0x6F70657261746FULL) {}

bool RoutineOperator::finished(const Floor& floor) const { return stage_ == Stage::done && !floor.cooling(); }

double RoutineOperator::lag_s(double longest_s) {
    const double drawn = random_.between(0.0, longest_s);
    return options_.human ? drawn : 0.0;
}

std::optional<double> RoutineOperator::heard_first_crack_s(const Floor& floor) const {
    const auto began_s = floor.first_crack_at_s();
    if (!began_s || *floor.since_charge_s() < *began_s + hearing_lag_s_) return std::nullopt;
    return *began_s + hearing_lag_s_;
}

void RoutineOperator::act(Floor& floor) {
    switch (stage_) {
        case Stage::start:
            return begin_preheat(floor);
        case Stage::preheat:
            return preheat(floor);
        case Stage::ready:
            if (floor.sim_ms() >= charge_ms_) charge(floor);
            return;
        case Stage::roast:
            return roast(floor);
        case Stage::done:
            return;
    }
}

void RoutineOperator::begin_preheat(Floor& floor) {
    if (options_.batches > 0 && floor.batch() >= options_.batches) {
        stage_ = Stage::done;
        floor.set_burner(0.0);
        floor.set_status(Status::idle);
        return;
    }
    stage_ = Stage::preheat;
    preheater_.restart();
    floor.set_airflow(floor.machine().preheat_airflow_pct);
    floor.set_status(Status::preheating);
    charge_target_c_ = floor.machine().charge_probe_c + options_.charge_offset_c +
                       options_.scatter * kChargeSd_c * random_.normal_within_two();
    floor.note("preheat", {{"to_c", charge_target_c_}});
}

void RoutineOperator::preheat(Floor& floor) {
    preheater_.act(floor, charge_target_c_);
    const double gap_s = options_.gap_s.value_or(floor.machine().gap_s);
    const bool waited = !floor.since_drop_s() || *floor.since_drop_s() >= gap_s - kScoopReady_s;
    if (!waited || !preheater_.steady()) return;
    stage_ = Stage::ready;
    charge_ms_ = floor.sim_ms() + std::llround(1000.0 * (kScoopReady_s + lag_s(kHumanLag_s)));
    floor.set_status(Status::ready_to_charge);
    floor.set_burner(floor.machine().charge_burner_pct);
    floor.set_airflow(floor.machine().charge_airflow_pct);
    floor.note("ready");
}

void RoutineOperator::charge(Floor& floor) {
    stage_ = Stage::roast;
    BatchScatter scatter;
    scatter.moisture = options_.scatter * kMoistureSd * random_.normal_within_two();
    scatter.first_crack_c = options_.scatter * kFirstCrackSd_c * random_.normal_within_two();
    hearing_lag_s_ = kUsualHearing_s + options_.scatter * random_.between(-1.0, 1.0);
    pending_.assign(floor.machine().schedule.size(), {});
    for (std::size_t i = 0; i < pending_.size(); ++i) {
        const auto late = options_.late_s.find(i + 1);
        pending_[i].lag_s = lag_s(kHumanLag_s) + (late == options_.late_s.end() ? 0.0 : late->second);
        pending_[i].done = options_.skipped.contains(i + 1);
    }
    drop_ = Pending{};
    drop_.lag_s = lag_s(2.0);
    floor.charge(scatter);
}

void RoutineOperator::roast(Floor& floor) {
    const auto heard_s = heard_first_crack_s(floor);
    make_moves(floor, heard_s);
    drop_when_due(floor, heard_s);
}

void RoutineOperator::make_moves(Floor& floor, std::optional<double> heard_s) {
    const double since_s = *floor.since_charge_s();
    for (std::size_t i = 0; i < pending_.size(); ++i) {
        Pending& pending = pending_[i];
        if (pending.done) continue;
        if (!pending.due_s && pending.watch.due(floor.machine().schedule[i].when, floor, heard_s)) {
            pending.due_s = since_s;
        }
        if (pending.due_s && since_s >= *pending.due_s + pending.lag_s) make_move(floor, i, pending);
    }
}

void RoutineOperator::make_move(Floor& floor, std::size_t index, Pending& pending) {
    const PlannedMove& move = floor.machine().schedule[index];
    pending.done = true;
    if (move.control == Control::burner) {
        floor.set_burner(move.to_pct);
    } else {
        floor.set_airflow(move.to_pct);
    }
    floor.note("move", {{"move", static_cast<std::int64_t>(index + 1)},
                        {"control", std::string(control_name(move.control))},
                        {"to_pct", move.to_pct},
                        {"due_s", *pending.due_s},
                        {"trigger", std::string(trigger_name(move.when.kind))},
                        {"trigger_value", move.when.value}});
}

void RoutineOperator::drop_when_due(Floor& floor, std::optional<double> heard_s) {
    const double since_s = *floor.since_charge_s();
    if (!drop_.due_s && drop_.watch.due(floor.machine().drop, floor, heard_s)) drop_.due_s = since_s;
    const Trigger& rule = floor.machine().drop;
    const bool too_dark = rule.kind == Trigger::Kind::bean_c && floor.true_bean_c() > rule.value + kTooDark_c;
    if (!drop_.due_s && too_dark) drop_.due_s = since_s;
    const bool distracted = floor.fault_active(FaultKind::runaway) && floor.true_bean_c() < kGiveUp_c;
    if (!drop_.due_s || since_s < *drop_.due_s + drop_.lag_s || distracted) return;
    floor.drop();
    floor.set_burner(0.0);
    begin_preheat(floor);
}

}  // namespace drumwatch::simulator
