// The alarms of a station: delays on the tick grid, states after ANSI/ISA-18.2 (from memory), what a person
// does to them, and what the sounder plays. PURE, one thread, no allocation.
#pragma once

#include <array>
#include <cstdint>

#include "alarms/alarm_memory.hpp"
#include "alarms/rules.hpp"
#include "alarms/settings.hpp"
#include "core/command.hpp"
#include "core/event.hpp"
#include "core/snapshot.hpp"

namespace drumwatch {

class AlarmBook {
  public:
    explicit AlarmBook(AlarmSettings settings, const AlarmBookMemory& memory = {})
        : settings_(settings), memory_(memory) {}

    using Edges = FixedList<Event, 2 * kAlarmRules>;
    /// One round: all rules are judged, then all states change together. Returns what was raised or cleared.
    Edges round(Tick now, const AlarmInputs& inputs);

    /// Acknowledge names the occurrence: a late tap never acknowledges a newer one.
    Refusal acknowledge(std::uint64_t occurrence);
    /// Releases a latched alarm; refused while its condition holds.
    Refusal reset(std::uint64_t occurrence);
    /// Stops the sound of all present alarms; a new one sounds again.
    void silence();

    /// Highest priority first, then the oldest.
    FixedList<AlarmView, kAlarmRules> present() const;
    SounderView sounder(Tick now) const;
    /// Bean high-high or a bean-probe fault (or its silent bus) is active: move and drop prompts are
    /// withheld.
    bool safety_relevant_active() const;
    bool high_present() const;
    const AlarmBookMemory& memory() const { return memory_; }

  private:
    using Alarm = AlarmMemory;

    void step(AlarmRule rule, Alarm& alarm, const Judgement& judged, Tick now, Edges& edges);
    void raise(AlarmRule rule, Alarm& alarm, Tick now, Edges& edges);
    void end(AlarmRule rule, Alarm& alarm, Tick now, Edges& edges);
    Alarm* find(std::uint64_t occurrence);
    const Alarm& operator[](AlarmRule rule) const { return memory_.alarms[static_cast<std::size_t>(rule)]; }

    AlarmSettings settings_;
    AlarmBookMemory memory_;
};

}  // namespace drumwatch
