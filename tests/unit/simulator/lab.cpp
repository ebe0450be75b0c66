#include "lab.hpp"

#include <doctest/doctest.h>

#include <stdexcept>

namespace drumwatch::test {

using namespace simulator;

namespace {
constexpr std::int64_t kHang_ms = 12 * 3600 * 1000;
}

Lab::Lab(Setting setting) {
    Floor::Options options;
    options.seed = setting.seed;
    options.quiet_probes = setting.quiet;
    std::vector<Fault> faults;
    for (const std::string& text : setting.faults) faults.push_back(parse_fault(text));
    options.faults = FaultPlan(faults);
    setting.routine.seed = setting.seed;
    simulation_ = std::make_unique<Simulation>(
        std::make_unique<Floor>(load_machine(setting.machine), options,
                                [this](const TruthEvent& event) { events_.push_back(event); }),
        std::make_unique<RoutineOperator>(setting.routine));
}

void Lab::run(const std::function<void(const Floor&)>& look) {
    while (!simulation_->finished()) {
        if (floor().sim_ms() > kHang_ms) FAIL("the operator never comes to an end");
        simulation_->advance_to(floor().sim_ms() + kStep_ms, look);
    }
}

void Lab::run_to_charge_plus(double s) {
    while (floor().batch() == 0 || *floor().since_charge_s() < s) {
        if (floor().sim_ms() > kHang_ms) FAIL("the operator never comes to an end");
        simulation_->advance_to(floor().sim_ms() + kStep_ms);
    }
}

const TruthEvent& Lab::event(const std::string& name, int nth) const {
    for (const TruthEvent& event : events_) {
        if (event.name == name && --nth == 0) return event;
    }
    throw std::runtime_error("no such event: " + name);
}

int Lab::count(const std::string& name) const {
    int found = 0;
    for (const TruthEvent& event : events_) found += event.name == name ? 1 : 0;
    return found;
}

double number_in(const TruthEvent& event, const std::string& key) {
    for (const auto& [name, value] : event.more) {
        if (name != key) continue;
        if (const auto* number = std::get_if<double>(&value)) return *number;
        if (const auto* whole = std::get_if<std::int64_t>(&value)) return static_cast<double>(*whole);
    }
    throw std::runtime_error("no such number: " + key);
}

}  // namespace drumwatch::test
