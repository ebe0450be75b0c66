#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "simulator/floor/simulation.hpp"
#include "simulator/operators/routine.hpp"

namespace drumwatch::test {

/// A machine with its simulated operator, run without faces, and what truly happened.
class Lab {
  public:
    struct Setting {
        std::string machine = "drum";
        std::uint64_t seed = 1;
        bool quiet = false;
        std::vector<std::string> faults;
        simulator::RoutineOptions routine;
    };
    explicit Lab(Setting setting);

    /// Runs until the operator has finished (needs routine.batches), looking after every inner step.
    void run(const std::function<void(const simulator::Floor&)>& look = {});
    /// Runs to `s` seconds after the first charge.
    void run_to_charge_plus(double s);
    simulator::Floor& floor() { return simulation_->floor(); }

    /// The nth (from 1) event of this name; fails the test when there is none.
    const simulator::TruthEvent& event(const std::string& name, int nth = 1) const;
    int count(const std::string& name) const;
    const std::vector<simulator::TruthEvent>& events() const { return events_; }

  private:
    std::vector<simulator::TruthEvent> events_;
    std::unique_ptr<simulator::Simulation> simulation_;
};

/// A number among an event's further fields.
double number_in(const simulator::TruthEvent& event, const std::string& key);

}  // namespace drumwatch::test
