// The simulator as a child process, four times as fast as life.
#pragma once

#include <chrono>
#include <string>
#include <vector>

#include "support/child_process.hpp"

namespace drumwatch {

inline constexpr std::chrono::seconds kHang{120};  // only to stop a hang

struct Simulator {
    explicit Simulator(const std::vector<std::string>& more = {})
        : process([&] {
              std::vector<std::string> all{DRUMWATCH_SIM, "--speed", "4"};
              all.insert(all.end(), more.begin(), more.end());
              return all;
          }()),
          place("127.0.0.1:" + process.expect_line("modbus: 127.0.0.1:", kHang)) {}
    std::string port() const { return place.substr(place.rfind(':') + 1); }
    ChildProcess process;
    std::string place;
};

}  // namespace drumwatch
