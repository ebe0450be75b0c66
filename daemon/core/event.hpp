// What the engine says has happened. One line of the journal each; words are made at the edge (words.hpp).
#pragma once

#include <cstdint>
#include <string_view>

#include "core/alarm.hpp"
#include "core/milestone.hpp"
#include "core/observation.hpp"
#include "core/tick.hpp"
#include "core/verdict.hpp"

namespace drumwatch {

enum class EventKind : std::uint8_t {
    milestone_set,    ///< milestone, at, source; value: bean temperature; of a detection also code: FoundBy,
                      ///< index: confidence in %, limit: its amount
    milestone_moved,  ///< a mark replaces what was detected, or a detection is re-timed
    milestone_withdrawn,
    roast_withdrawn,  ///< "not a charge"; bad: by the curve, which rose again by value within limit ms
    roast_aborted,
    cooling_ended,
    target_chosen,  ///< roast 0 when none is in the drum
    target_dropped,
    move_made,     ///< control; value: level
    move_judged,   ///< control; index: planned move or -1; value: error in thousandths of a second
    alarm_raised,  ///< rule, occurrence; value, limit
    alarm_cleared,
    alarm_acknowledged,
    alarm_reset,
    alarms_silenced,
    verdict_given,  ///< disposition
    health_changed,
    command_refused,
    quality_changed,   ///< index: channel; value: the new Quality
    move_retimed,      ///< control; value: level; at: where it stands now
    mark_disagrees,    ///< milestone, at: of the detection; value: mark minus detection in thousandths of a
                       ///< second
    alarm_shelved,     ///< rule, occurrence (0: none active); value: for how long, in ms
    alarm_unshelved,   ///< rule; code: Unshelved
    alarm_suppressed,  ///< rule; code: SuppressedBy
    alarm_released,    ///< rule; no more suppressed
    alarm_out_of_service,
    alarm_returned_to_service,
    alarm_again,   ///< rule, occurrence: it has lasted long and sounds anew
    alarms_flood,  ///< bad: begins, else ends
};
std::string_view name(EventKind kind);

struct Event {
    Tick tick;  ///< when it was said
    EventKind kind = EventKind::milestone_set;
    std::uint64_t roast = 0;
    Tick at;  ///< when it happened, at most `tick`
    std::uint64_t occurrence = 0;
    Milli value_milli = 0;
    Milli limit_milli = 0;
    std::int16_t index = -1;  ///< channel, planned move, member; command_refused: CommandKind
    Milestone milestone = Milestone::charge;
    MarkSource source = MarkSource::detected;
    Control control = Control::burner;
    AlarmRule rule = AlarmRule::bean_high_high;
    Priority priority = Priority::medium;
    Health health = Health::bus_silent;
    bool bad = false;  ///< health_changed; milestones, moves judged: no value is known
    Disposition disposition = Disposition::unjudged;
    std::uint8_t code = 0;  ///< move_judged: MoveJudgement; command_refused: Refusal; see EventKind
};

}  // namespace drumwatch
