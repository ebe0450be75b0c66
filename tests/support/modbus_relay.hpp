// A relay between a Modbus TCP client and a device on loopback, which hands on every frame as it is and calls
// a test before each: with a station in stepped time, whose every tick asks the machine for its time, the
// test can look at every single tick.
#pragma once

#include <functional>

#include "support/raw_server.hpp"

namespace drumwatch {

class ModbusRelay {
  public:
    /// `before`: on the relay's thread, with each request, before it is handed on; the client waits
    /// meanwhile.
    ModbusRelay(std::uint16_t device_port, std::function<void(const Bytes& request)> before);
    ~ModbusRelay();
    ModbusRelay(const ModbusRelay&) = delete;
    ModbusRelay& operator=(const ModbusRelay&) = delete;

    std::uint16_t port() const { return server_.port(); }

  private:
    /// One request to the device, and its answer; empty when the device is gone.
    Bytes exchange(const Bytes& request);

    std::uint16_t device_port_;
    std::function<void(const Bytes&)> before_;
    int device_ = -1;
    RawServer server_;
};

}  // namespace drumwatch
