// Material for tests of the record: a realistic roast as frames, and rows about it. All invented (Saltmarsh
// Mill).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/channel.hpp"
#include "core/reading.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

/// bean, exhaust, inlet, drum, tray (°C in steps of 0.1), burner, airflow (%), drum_speed (rpm).
ChannelTable sample_channels();

/// A roast of 8 channels: falls from the charge, turns, rises to the drop, with probe noise of 0.15 °C and a
/// burner that steps down. `step_milli` is the sensors' resolution; `every` > 1 makes the inlet fresh only on
/// each such tick.
std::vector<Frame> sample_roast(std::uint64_t seed, std::int64_t from_ms, std::int64_t seconds,
                                std::int64_t period_ms = 250, std::int64_t step_milli = 100, int every = 1);

WatchRow sample_watch(std::uint64_t id);
RoastRecord sample_roast_row(std::uint64_t id, std::uint64_t watch, std::int64_t charge_ms,
                             std::int64_t seconds);
CommandRow sample_command(std::uint64_t watch, std::int64_t tick_ms, const std::string& client_id);
EventRow sample_event(std::uint64_t watch, std::uint64_t roast, std::int64_t tick_ms);

bool same_frames(const std::vector<Frame>& a, const std::vector<Frame>& b);

}  // namespace drumwatch
