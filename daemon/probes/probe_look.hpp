// The station's probes as the links see them, for the person at the probe with the calibrator: the buses of a
// configuration read by the daemon's own drivers, without a daemon.
//
// Reads only: no coil job is ever made, and the buses that are opened have an empty allow-list. Thread: the
// owner's; each bus has its own (drivers/host.hpp). Nothing is thrown.
#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "drivers/link_counters.hpp"
#include "probes/probe_tolerance.hpp"

namespace drumwatch {

struct ProbeLine {
    std::string name;
    std::size_t bus = 0;  ///< index into ProbeView::buses
    Unit unit = Unit::celsius;
    RawValue raw;
    Milli value_milli = 0;                     ///< means something where has_value(quality)
    Quality quality = Quality::never_read;     ///< with span, age and a silent bus taken into account
    std::optional<std::int64_t> age_ms;        ///< nothing before the first reading
    std::uint64_t readings = 0;                ///< polls that gave one
    FaultCounts faults{};                      ///< of those readings
    std::vector<ProbeTolerance> tolerances{};  ///< of the sensor at this temperature; empty: not known
};

struct ProbeBus {
    std::string name;
    std::string where;  ///< "192.168.10.40:502", "/dev/serial/by-id/..."
    BusCounters counters;
    FaultCounts standing{};  ///< faults that were seen within the last kStands_ms, each 1
};

/// What stands now and what to look at first.
struct ProbeComplaint {
    std::string who;  ///< "bus machine", or the channels: "bean, exhaust"
    LinkFault fault = LinkFault::none;
    std::string text;        ///< what was said of it
    std::string look_first;  ///< may be empty
};

struct ProbeView {
    std::vector<ProbeBus> buses;
    std::vector<ProbeLine> lines;  ///< in the order of the configuration
    bool all_good() const;
};

/// PURE. One for each bus that is not as it should be, and one for each fault that channels have in common.
std::vector<ProbeComplaint> complaints_of(const ProbeView& view);

inline constexpr std::int64_t kStands_ms = 10'000;  ///< longer than the longest pause before reconnecting

class ProbeLook {
  public:
    explicit ProbeLook(const Config& config);
    ~ProbeLook();  ///< stops every bus
    ProbeLook(const ProbeLook&) = delete;
    ProbeLook& operator=(const ProbeLook&) = delete;

    /// Asks every bus that is ready for a poll; returns at once.
    void poll();
    /// Whether every channel is good, or has been read often enough that it will not become so, or its bus
    /// has failed.
    bool settled() const;
    /// How long that can take: from the buses' time-outs.
    std::chrono::milliseconds longest_settling() const;
    ProbeView view();

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
