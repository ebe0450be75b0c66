// A driver knows one kind of device; reconnecting, back-off and counters belong to the host (host.hpp).
//
// The poll contract. open, poll, write_coil and close are called by one thread only, the bus's own. Each ends
// in bounded time (the bus's timeout_ms times the number of its requests, and no more than timeout_ms after
// that; on a serial line, what its bytes take on the wire comes on top), never throws, never exits. poll()
// gives one Reading for every channel of the bus each time it succeeds or half succeeds (a stream: for every
// channel when a new line has come, else none); Link::down says that the link itself does not answer, is the
// one place that says so, and comes without readings. After Link::down the host closes and opens again, with
// growing pauses, for ever.
//
// To add a driver: copy links/skeleton.*; DEVELOPERS.md says what else there is to do.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/reading.hpp"
#include "core/result.hpp"
#include "drivers/bus.hpp"
#include "drivers/byte_tap.hpp"
#include "drivers/link_fault.hpp"
#include "drivers/links/write_list.hpp"
#include "drivers/raw_value.hpp"

namespace drumwatch {

enum class Link : std::uint8_t { up, down };

/// A discrete input as this poll found it.
struct InputLevel {
    std::size_t input = 0;   ///< index into BusConfig::discrete_inputs
    std::optional<bool> on;  ///< nothing: the device refused it (the complaint says why)
};

struct PollOutcome {
    Link link = Link::down;
    std::vector<Reading> readings;            ///< only channels measured by this poll
    std::optional<std::uint32_t> machine_ms;  ///< the time register, where configured
    std::string complaint;                    ///< for a person; empty when all is well
    std::vector<InputLevel> inputs{};         ///< each of the bus, once the link is up
    std::vector<RawValue> raws{};             ///< of each reading, in the same order
    FaultCounts faults{};                     ///< of this poll, by question or line, not by channel
    /// With Link::down: something came all the same, so it is worth trying again soon.
    bool talks = false;

    void count(LinkFault fault) { ++faults[static_cast<std::size_t>(fault)]; }
    /// No readings, and why.
    static PollOutcome down(LinkFault fault, std::string complaint) {
        PollOutcome outcome{Link::down, {}, std::nullopt, std::move(complaint)};
        outcome.count(fault);
        return outcome;
    }
};

class Driver {
  public:
    virtual ~Driver() = default;
    virtual Result<Done> open() = 0;
    virtual PollOutcome poll() = 0;
    virtual void close() = 0;
    /// An AllowedCoil comes from the bus's allow-list only (links/write_list.hpp). Drivers without coils
    /// refuse. A failed link is reported by the next poll.
    virtual Result<Done> write_coil(AllowedCoil coil, bool on) = 0;
};

/// The one table of drivers. `timeout_ms` in the configuration is simulated time; `speed` turns it into real
/// time (never below 50 ms). Its readings are whole (complete_readings.hpp). `tap` is told of the link's
/// bytes; a link that has none (a capture, the skeleton's file) tells of nothing. Never null.
std::unique_ptr<Driver> make_driver(const BusConfig& bus, double speed, ByteTap tap = {});
/// Where the bus is, for a person: "192.168.10.40:502", "/dev/serial/by-id/...".
std::string place_of(const BusConfig& bus);
/// What to do when nothing comes from such a bus, as a sentence.
std::string_view what_to_do(BusKind kind);

}  // namespace drumwatch
