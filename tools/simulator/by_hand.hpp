#pragma once

#include <poll.h>

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "simulator/faces/keyboard.hpp"
#include "simulator/operators/trainee.hpp"
#include "simulator/target/target.hpp"

namespace drumwatch::simulator {

/// Practice at the terminal: turns keys into what the trainee does, keeps one status line, and prints the
/// review after each drop. Prints to standard output; without a terminal a status line is printed every ten
/// simulated seconds.
class ByHand {
  public:
    ByHand(const Machine& machine, Target target);

    /// The safety words, the keys and the plan.
    void greet() const;
    void wait_for(std::vector<pollfd>& descriptors) const;
    /// Call after poll(), with the floor brought up to now.
    void serve(const std::vector<pollfd>& descriptors, Floor& floor, Trainee& trainee);
    bool quit() const { return quit_; }
    /// Call once at the end: leaves the status line, and says so if a roast was broken off.
    void farewell(const Floor& floor) const;

  private:
    void press(char key, Floor& floor, Trainee& trainee);
    void say(const std::string& words) const;
    void show_status(const Floor& floor, const Trainee& trainee);
    void listen(const Floor& floor);

    Machine machine_;
    Target target_;
    Keyboard keyboard_;
    bool quit_ = false;
    bool crack_said_ = false;
    bool ready_said_ = false;
    std::chrono::steady_clock::time_point drawn_;
    std::int64_t printed_ms_ = -1000000;
};

}  // namespace drumwatch::simulator
