// A recorded watch fed through the engine again: the same Begin, frames, commands and observations in the
// same order, so the same journal. It drives nothing. Pure but for allocation; any thread.
//
// Order within a tick, as the live feeder has it: commands, observations, the frame.
#pragma once

#include <functional>
#include <vector>

#include "core/command.hpp"
#include "core/observation.hpp"
#include "core/reading.hpp"
#include "engine/begin.hpp"
#include "engine/engine.hpp"

namespace drumwatch {

struct RecordedWatch {
    Begin begin;
    std::vector<Frame> frames;              ///< by tick
    std::vector<Command> commands;          ///< by tick, in the order in which they came
    std::vector<Observation> observations;  ///< by tick
};

/// Gives each tick's snapshot and events to `seen`; what came after the last frame is told too, and its
/// events are left in the engine for its next tick. Returns the engine as it stands then.
Engine refeed(const RecordedWatch& watch,
              const std::function<void(const Snapshot&, const std::vector<Event>&)>& seen);

}  // namespace drumwatch
