#include "simulator/target/target.hpp"

#include <algorithm>
#include <memory>

#include "simulator/floor/simulation.hpp"
#include "simulator/operators/routine.hpp"

namespace drumwatch::simulator {
namespace {

constexpr std::int64_t kPointEvery_ms = 5000;
constexpr std::int64_t kLongest_ms = 4 * 3600 * 1000;

/// Follows one roast and notes the curve and its milestones.
class Scribe {
  public:
    explicit Scribe(Target& target) : target_(target) {}
    void take(const TruthEvent& event) {
        const TargetMilestone here{event.since_charge_s.value_or(0.0), event.bean_c};
        if (event.name == "charge") charge_ms_ = event.sim_ms;
        if (event.name == "charge" || event.name == "drop") add_point(here.at_s, here.bean_c);
        if (event.name == "turning_point" || event.name == "yellow" || event.name == "first_crack") {
            target_.milestones[event.name] = here;
        }
    }
    void look(const Floor& floor) {
        if (!floor.roasting() || (floor.sim_ms() - charge_ms_) % kPointEvery_ms != 0) return;
        add_point(*floor.since_charge_s(), floor.true_bean_c());
    }

  private:
    /// A drop can fall on an instant that has its point already.
    void add_point(double at_s, double bean_c) {
        if (target_.points.empty() || at_s > target_.points.back().first)
            target_.points.emplace_back(at_s, bean_c);
    }

    Target& target_;
    std::int64_t charge_ms_ = 0;
};

}  // namespace

double Target::bean_c_at(double at_s) const {
    const auto after = std::lower_bound(points.begin(), points.end(), at_s,
                                        [](const auto& point, double t_s) { return point.first < t_s; });
    if (after == points.begin()) return points.front().second;
    if (after == points.end()) return points.back().second;
    const auto before = after - 1;
    const double share = (at_s - before->first) / (after->first - before->first);
    return before->second + share * (after->second - before->second);
}

double Target::planned_at_s(const Trigger& when) const {
    if (when.kind == Trigger::Kind::at_s) return when.value;
    const auto crack = milestones.find("first_crack");
    if (when.kind == Trigger::Kind::after_first_crack_s) {
        return crack == milestones.end() ? end_s() : crack->second.at_s + when.value;
    }
    const auto turn = milestones.find("turning_point");
    const double from_s = turn == milestones.end() ? 60.0 : turn->second.at_s;
    for (double t_s = from_s; t_s < end_s(); t_s += 0.5) {
        if (bean_c_at(t_s) >= when.value) return t_s;
    }
    return end_s();
}

Target own_target(const Machine& machine) {
    Target target;
    target.name = machine.coffee + ", " + machine.name;
    target.station = machine.station;
    target.coffee = machine.coffee;
    target.charge_kg = machine.charge_kg;
    target.moves = machine.schedule;
    target.drop = machine.drop;
    Scribe scribe(target);
    Floor::Options quiet;
    quiet.quiet_probes = true;
    RoutineOptions routine;
    routine.scatter = 0.0;
    routine.batches = 1;
    Simulation simulation(
        std::make_unique<Floor>(machine, quiet, [&](const TruthEvent& event) { scribe.take(event); }),
        std::make_unique<RoutineOperator>(routine));
    while (simulation.floor().batch() == 0 || simulation.floor().roasting()) {
        const std::int64_t next_ms = simulation.floor().sim_ms() + kStep_ms;
        if (next_ms > kLongest_ms) throw SetupError(machine.name + ": the schedule never comes to a drop");
        simulation.advance_to(next_ms, [&](const Floor& floor) { scribe.look(floor); });
    }
    return target;
}

}  // namespace drumwatch::simulator
