// The alarms of a station: delays on the tick grid, states (lifecycle.hpp), what a person does to them, and
// what the sounder plays. PURE, one thread, no allocation.
#pragma once

#include <array>
#include <cstdint>

#include "alarms/alarm_memory.hpp"
#include "alarms/lifecycle.hpp"
#include "alarms/rules.hpp"
#include "alarms/settings.hpp"
#include "core/command.hpp"
#include "core/event.hpp"
#include "core/snapshot.hpp"

namespace drumwatch {

class AlarmBook {
  public:
    explicit AlarmBook(AlarmSettings settings, const AlarmBookMemory& memory = {})
        : settings_(settings), memory_(memory) {
        look_back();
    }

    /// In one round a rule is told to be unshelved or released and then raised, at the most, or ended and
    /// suppressed.
    using Edges = FixedList<Event, 2 * kAlarmRules + 1>;
    /// What may wait (kMayWait) is judged in this round too.
    bool judges_all(Tick now, bool roasting) const;
    /// One round: the rules are judged, then all states change together. Returns what has changed.
    Edges round(Tick now, const AlarmInputs& inputs);

    /// Acknowledge names the occurrence: a late tap never acknowledges a newer one.
    Refusal acknowledge(std::uint64_t occurrence, Tick now);
    /// Releases a latched alarm; refused while its condition holds, or before it is acknowledged.
    Refusal reset(std::uint64_t occurrence);
    /// Stops the sound of all present alarms; a new one sounds again, and one that lasts after a while.
    void silence(Tick now);
    /// Puts a rule aside until `now` + `for_ms`, or the end of the batch. On the shelf already: for that long
    /// from now.
    Refusal shelve(AlarmRule rule, std::int64_t for_ms, Tick now);
    Refusal unshelve(AlarmRule rule);
    /// A batch is over: all shelves with it, at the next round.
    void end_batch();
    Refusal take_out(AlarmRule rule, bool roasting, Tick now);
    Refusal put_back(AlarmRule rule);
    /// Who has just put a rule aside, and why. Allocates.
    void keep_note(AlarmRule rule, PutAsideNote note);

    /// Active and latched ones, highest priority first, then the oldest; then what is put aside.
    FixedList<AlarmView, kAlarmRules> present() const;
    const AlarmMemory& operator[](AlarmRule rule) const {
        return memory_.alarms[static_cast<std::size_t>(rule)];
    }
    SounderView sounder(Tick now) const;
    /// Prompts to move or to drop are withheld.
    bool safety_relevant_active() const;
    bool high_present() const;
    bool flood() const { return memory_.flood; }
    const PutAsideNotesPtr& notes() const { return memory_.notes; }
    const AlarmBookMemory& memory() const { return memory_; }

  private:
    using Alarm = AlarmMemory;
    /// One rule in one round.
    struct Turn {
        AlarmRule rule;
        Alarm& alarm;
        const Judgement& judged;
        const RuleSettings& settings;
        Tick now;
        Edges& edges;
    };

    void step(const Turn& turn);
    void hold_back(const Turn& turn);
    void release(const Turn& turn);
    void weigh(const Turn& turn);
    void watch_shelf(const Turn& turn);
    void call_again(const Turn& turn);
    static bool enough_bad_readings(const Turn& turn);
    void onset(const Turn& turn);
    void clear(const Turn& turn);
    bool move(const Turn& turn, AlarmAct act);
    void raise(const Turn& turn);
    Event& say(const Turn& turn, EventKind kind, Tick at);
    Alarm& alarm(AlarmRule rule) { return memory_.alarms[static_cast<std::size_t>(rule)]; }
    Alarm* find(std::uint64_t occurrence);
    bool stays_in_service(AlarmRule rule, bool roasting) const;
    AlarmView view_of(AlarmRule rule) const;
    AlarmNature nature(AlarmRule rule) const { return {settings_[rule].latches, (*this)[rule].holds}; }
    void choose_pattern(Tick now);
    void watch_flood(Tick now, Edges& edges);

    void look_back();

    AlarmSettings settings_;
    AlarmBookMemory memory_;
    void note(std::size_t rule);
    /// Nothing is active, latched, put aside or to be seen: what follows from that costs nothing.
    bool calm() const { return listed_ == 0 && memory_.sounding == Pattern::off && !memory_.flood; }
    AlarmsHeld live_ = 0;    ///< rules that are on, or have something to show
    AlarmsHeld held_ = 0;    ///< whose condition holds
    AlarmsHeld listed_ = 0;  ///< which a person may see
};

}  // namespace drumwatch
