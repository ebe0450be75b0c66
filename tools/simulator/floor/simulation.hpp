#pragma once

#include <functional>
#include <memory>

#include "simulator/floor/floor.hpp"
#include "simulator/operators/operator.hpp"

namespace drumwatch::simulator {

/// Floor and operator, advanced together in inner steps of kStep_ms.
class Simulation {
  public:
    Simulation(std::unique_ptr<Floor> floor, std::unique_ptr<Operator> person)
        : floor_(std::move(floor)), operator_(std::move(person)) {}

    /// Goes on until the simulated time is `sim_ms` (rounded down to whole inner steps); calls `each` after
    /// every one.
    void advance_to(std::int64_t sim_ms, const std::function<void(const Floor&)>& each = {}) {
        while (floor_->sim_ms() + kStep_ms <= sim_ms) {
            operator_->act(*floor_);
            floor_->step();
            if (each) each(*floor_);
        }
    }
    bool finished() const { return operator_->finished(*floor_); }
    Floor& floor() { return *floor_; }
    Operator& person() { return *operator_; }

  private:
    std::unique_ptr<Floor> floor_;
    std::unique_ptr<Operator> operator_;
};

}  // namespace drumwatch::simulator
