// Plays signals on one output: by switching a line, or by running a command. Not thread-safe; time is what
// the caller says (steady milliseconds, never backwards), so that tests can step it. What fails is tried
// again every `retry_ms`, and at once when a signal begins.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "alarms/pulse_train.hpp"
#include "sounders/due.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

class SounderPlayer {
  public:
    virtual ~SounderPlayer() = default;  ///< off
    /// Begins a signal from its start; `off` ends what plays. step() must follow.
    virtual void play(SounderSignal signal, std::int64_t now_ms) = 0;
    virtual Due step(std::int64_t now_ms) = 0;
    /// Whether something of the signal that began last is still to come or to end.
    virtual bool playing(std::int64_t now_ms) const = 0;
    /// What is wrong with the output, for a person; empty: nothing is known to be.
    virtual const std::string& failure() const = 0;
};

/// A line that follows pulse trains. A signal that cuts another short begins kRest_ms after that is off.
std::unique_ptr<SounderPlayer> make_line_player(const SounderOutput& output, std::int64_t retry_ms);

/// A command, run at each beginning of a round (high: 3 s, medium: 10 s, box_dead as high: 5 s; low and the
/// chirp of a test, as low: once). Rounds during which it still plays are left out. A signal that is more
/// urgent ends it, and so does `off`; a less urgent one waits for its end. Prompts are not played.
std::unique_ptr<SounderPlayer> make_command_player(const SounderOutput& output, std::int64_t retry_ms);

}  // namespace drumwatch
