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

/// One frame after the other. The watch must outlive it.
class Refeeder {
  public:
    explicit Refeeder(const RecordedWatch& watch) : watch_(watch), engine_(watch.begin) {}
    bool done() const { return frame_ >= watch_.frames.size(); }
    /// Only while not done(). Valid until the next call.
    const Snapshot& step();
    const std::vector<Event>& take_events() { return engine_.take_events(); }
    /// What came after the last frame is told too, and its events are left in the engine for its next tick.
    Engine end() &&;

  private:
    void tell_until(Tick tick);

    const RecordedWatch& watch_;
    Engine engine_;
    std::size_t frame_ = 0;
    std::size_t command_ = 0;
    std::size_t observation_ = 0;
};

/// Gives each tick's snapshot and events to `seen`; returns the engine as it stands at the end.
Engine refeed(const RecordedWatch& watch,
              const std::function<void(const Snapshot&, const std::vector<Event>&)>& seen);

}  // namespace drumwatch
