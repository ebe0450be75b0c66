// Independent Modbus servers as processes of their own, and what the tests against them share: a line between
// two pseudo-terminals, buses and channels, and readings by channel.
//
// All servers hold the same registers (pymodbus_server.py says which). One thread: the test's own.
#pragma once

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <map>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "drivers/bus.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "support/child_process.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch::independent {

/// A server's command without its arguments. Debian's own python3, because that package is Debian's.
using Command = std::vector<std::string>;
inline std::vector<Command> all_servers() {
    return {{"/usr/bin/python3", DATA_DIR "/pymodbus_server.py"}, {NODE, DATA_DIR "/jsmodbus/server.mjs"}};
}

inline Command with(Command command, std::vector<std::string> arguments) {
    command.insert(command.end(), arguments.begin(), arguments.end());
    return command;
}

struct TcpServer {
    explicit TcpServer(const Command& command, std::uint16_t wanted = 0)
        : process(with(command, {std::to_string(wanted)})),
          port(static_cast<std::uint16_t>(
              std::stoi(process.expect_line("modbus: 127.0.0.1:", std::chrono::seconds(60))))) {}
    BusConfig bus() const {
        BusConfig made;
        made.name = "independent";
        made.host = "127.0.0.1";
        made.port = port;
        made.timeout_ms = 10'000;
        return made;
    }
    ChildProcess process;
    std::uint16_t port;
};

/// A line with a driver's end and a device's, joined by an independent program (socat).
struct Line {
    TempDir folder;
    std::string ours = folder.path() + "/ours";
    std::string theirs = folder.path() + "/theirs";
    ChildProcess socat{{"socat", "pty,rawer,link=" + ours, "pty,rawer,link=" + theirs}};
    Line() {
        const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(20);
        while (!(std::filesystem::exists(ours) && std::filesystem::exists(theirs)) &&
               std::chrono::steady_clock::now() < until)
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
};

struct RtuServer {
    explicit RtuServer(const Command& command) : process(with(command, {"rtu", line.theirs})) {
        process.expect_line("modbus: ", std::chrono::seconds(60));
    }
    BusConfig bus() const {
        BusConfig made;
        made.name = "independent";
        made.kind = BusKind::modbus_rtu;
        made.device = line.ours;
        made.timeout_ms = 5'000;
        return made;
    }
    Line line;
    ChildProcess process;
};

struct At {
    int address = 0;
    RegisterTable table = RegisterTable::input;
    std::uint8_t unit_id = 1;
};

inline void add(BusConfig& bus, At at, DataType type = DataType::int16, WordOrder order = WordOrder::abcd,
                double scale = 1) {
    ChannelSource source;
    source.channel = static_cast<std::uint8_t>(bus.channels.size());
    source.modbus =
        ModbusSource{at.table, static_cast<std::uint16_t>(at.address), at.unit_id, type, order, std::nullopt};
    source.scale = scale;
    bus.channels.push_back(source);
}

inline std::map<int, Reading> by_channel(const PollOutcome& outcome) {
    std::map<int, Reading> readings;
    for (const Reading& reading : outcome.readings) readings[reading.channel] = reading;
    return readings;
}

/// Coils one after the other through a host; gives how many were written.
inline int write_coils(BusHost& host, const std::vector<std::pair<int, bool>>& coils) {
    std::atomic<int> answers = 0;
    std::atomic<int> written = 0;
    int asked = 0;
    for (const auto& [address, on] : coils) {
        host.request_coil(static_cast<std::uint16_t>(address), on, [&](bool ok) {
            written += ok ? 1 : 0;
            ++answers;
        });
        ++asked;
        while (answers < asked) std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    return written;
}

}  // namespace drumwatch::independent
