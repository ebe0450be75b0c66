// A finger on the four buttons of the simulated machine: its coils 16 to 19.
#pragma once

#include <doctest/doctest.h>

#include <cstdint>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

class Finger {
  public:
    explicit Finger(std::uint16_t port) : driver_(make_driver(bus(port), 1)) {
        REQUIRE(driver_->open().ok());
    }
    void press(std::uint16_t button, bool down) {
        const WriteList allowed({16, 17, 18, 19});
        const auto coil = allowed.find(static_cast<std::uint16_t>(16 + button));
        REQUIRE(coil);
        REQUIRE(driver_->write_coil(*coil, down).ok());
    }

  private:
    static BusConfig bus(std::uint16_t port) {
        BusConfig bus;
        bus.host = "127.0.0.1";
        bus.port = port;
        bus.timeout_ms = 5'000;
        return bus;
    }
    std::unique_ptr<Driver> driver_;
};

}  // namespace drumwatch
