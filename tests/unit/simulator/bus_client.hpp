#pragma once

#include <doctest/doctest.h>
#include <modbus/modbus.h>
#include <unistd.h>

#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <string>
#include <vector>

#include "support/child_process.hpp"

namespace drumwatch::test {

/// The simulator under test, as a real process.
inline std::vector<std::string> sim_command(std::vector<std::string> options) {
    const char* program = std::getenv("DRUMWATCH_SIM");
    REQUIRE_MESSAGE(program != nullptr, "DRUMWATCH_SIM names the program under test");
    options.insert(options.begin(), program);
    return options;
}

inline int printed_port(ChildProcess& sim) {
    const std::string address = sim.expect_line("modbus: ", std::chrono::seconds(20));
    return std::stoi(address.substr(address.rfind(':') + 1));
}

/// A real libmodbus client. Calls give the library's result; -1 with errno on failure.
class BusClient {
  public:
    explicit BusClient(int port, int unit = 1) : context_(modbus_new_tcp("127.0.0.1", port)) {
        modbus_set_slave(context_.get(), unit);
        modbus_set_response_timeout(context_.get(), 5, 0);
    }
    bool connect() { return modbus_connect(context_.get()) == 0; }
    void set_timeout_ms(int ms) {
        modbus_set_response_timeout(context_.get(), static_cast<std::uint32_t>(ms / 1000),
                                    static_cast<std::uint32_t>(ms % 1000) * 1000U);
    }
    std::vector<std::uint16_t> inputs(int first, int count) {
        std::vector<std::uint16_t> out(static_cast<std::size_t>(count));
        result = modbus_read_input_registers(context_.get(), first, count, out.data());
        return out;
    }
    std::vector<std::uint16_t> holding(int first, int count) {
        std::vector<std::uint16_t> out(static_cast<std::size_t>(count));
        result = modbus_read_registers(context_.get(), first, count, out.data());
        return out;
    }
    std::int64_t time_ms() {
        const auto words = holding(3, 2);
        return result == 2 ? words[0] * 65536LL + words[1] : -1;
    }
    int status() { return holding(5, 1)[0]; }
    int write_coil(int coil, bool on) { return modbus_write_bit(context_.get(), coil, on ? 1 : 0); }
    modbus_t* raw() { return context_.get(); }

    int result = 0;

  private:
    struct Deleter {
        void operator()(modbus_t* context) const {
            modbus_close(context);
            modbus_free(context);
        }
    };
    std::unique_ptr<modbus_t, Deleter> context_;
};

}  // namespace drumwatch::test
