// What a bus and its channels have gone through since the start.
#pragma once

#include <array>
#include <chrono>
#include <cstdint>
#include <string>

#include "core/reading.hpp"
#include "drivers/link_fault.hpp"
#include "drivers/raw_value.hpp"

namespace drumwatch {

struct BusCounters {
    std::uint64_t polls = 0;
    std::uint64_t failures = 0;     ///< polls that found the link down
    std::uint64_t bad_replies = 0;  ///< readings of any quality but good
    std::uint64_t reconnects = 0;
    std::uint64_t coil_writes = 0;
    std::uint64_t coil_refusals = 0;  ///< not on the allow-list, or the device refused
    FaultCounts faults{};             ///< by kind: of questions and lines, of values, of openings
    std::int64_t last_round_trip_us = 0;
    std::int64_t worst_round_trip_us = 0;
    std::int64_t median_round_trip_us = 0;  ///< of the newest kTripWindow polls that found the link up
    bool up = false;  ///< the newest poll found the link up; false before the first. Down = the bus is silent
    std::string complaint;  ///< newest, for a person
};

/// A channel as the link saw it, before anything is concluded from its value.
struct ChannelCounters {
    std::uint8_t channel = 0;                    ///< index into the ChannelTable
    std::uint64_t readings = 0;                  ///< polls that gave one, of whatever quality
    FaultCounts faults{};                        ///< by kind, those readings that were not good
    Reading newest{};                            ///< quality never_read before the first
    RawValue raw{};                              ///< what the newest was made of
    std::chrono::steady_clock::time_point at{};  ///< when the newest came
};

inline constexpr std::size_t kTripWindow = 31;

/// The newest round trips.
class TripWindow {
  public:
    void take(std::int64_t trip_us) { trips_us_[taken_++ % kTripWindow] = trip_us; }
    std::int64_t median_us() const;  ///< 0 when nothing was taken

  private:
    std::array<std::int64_t, kTripWindow> trips_us_{};
    std::size_t taken_ = 0;
};

}  // namespace drumwatch
