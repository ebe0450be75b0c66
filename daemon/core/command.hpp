// What a person did, as far as it changes what is said about a living batch. Recorded like a frame.
#pragma once

#include <cstdint>
#include <string>

#include "core/alarm.hpp"
#include "core/lessons.hpp"
#include "core/milestone.hpp"
#include "core/target.hpp"
#include "core/tick.hpp"

namespace drumwatch {

enum class CommandKind : std::uint8_t {
    mark,           ///< milestone, at
    withdraw_mark,  ///< milestone: back to what was detected, or to nothing
    choose_target,  ///< target (null: none); for the roast in the drum if there is one and it has just begun,
                    ///< and the next
    acknowledge,    ///< occurrence
    reset,          ///< occurrence: release a latched alarm whose condition is over
    silence,        ///< stops the sound of all present alarms, acknowledges none
    made_move,      ///< control, level_milli, at: tapped in where no channel reads the control
    not_a_charge,   ///< withdraws a false detection
    abort_roast,    ///< the roast in the drum is given up; text says why and where the coffee went
    retime_move,    ///< control, was, at: a move tapped in for `was` was made at `at`
    shelve,         ///< rule, shelve_ms; text: why
    unshelve,       ///< rule
    out_of_service,     ///< rule; text: why; only with a name (`who`)
    return_to_service,  ///< rule; only with a name (`who`)
};
std::string_view name(CommandKind kind);

struct Command {
    Tick tick;  ///< the grid instant at which it enters the engine
    CommandKind kind = CommandKind::mark;
    Milestone milestone = Milestone::first_crack;
    Tick at;   ///< when the thing happened, at most `tick`
    Tick was;  ///< retime_move: where the move stands now
    std::uint64_t occurrence = 0;
    AlarmRule rule = AlarmRule::bean_high_high;
    std::int64_t shelve_ms = 0;
    Control control = Control::burner;
    Milli level_milli = 0;
    TargetPtr target;
    Lessons lessons;        ///< with choose_target: what is known of its coffee
    std::string who;        ///< person or tablet, as given; may be empty
    std::string client_id;  ///< a retry with the same id acts once; may be empty
    std::string text;
    /// Number of the snapshot that the person had before them, 0 where it is not known. Only the desk looks
    /// at it: who marks without having seen another's mark is told of it first.
    std::uint64_t seen = 0;
};

/// Why a command did nothing.
enum class Refusal : std::uint8_t {
    none,
    no_roast,            ///< nothing in the drum
    unknown_occurrence,  ///< no alarm of that number ever: 404
    not_active,          ///< that alarm is over, or a newer one has taken its place: 409
    still_active,        ///< a latched alarm whose condition holds can't be reset
    in_future,
    before_charge,
    not_marked,
    out_of_order,  ///< e.g. a drop before the first crack that was marked
    too_many_moves,
    no_such_move,      ///< none was tapped in then; what was read from the machine keeps its time
    read_by_machine,   ///< a channel reads this control, and well: its moves come from there
    not_turned,        ///< yellow or a crack before the curve has turned
    over_full,         ///< a level above 100 % of a control that is planned in %
    not_acknowledged,  ///< a latched alarm is acknowledged before it is reset
    not_shelvable,     ///< alarms that stand before a danger
    too_long,          ///< more than 30 minutes on the shelf
    latched_first,     ///< a latched alarm is reset before it is put aside
    not_shelved,
    stays_in_service,  ///< this alarm can't be taken out, or not while roasting
    not_out_of_service,
    already_so,  ///< or it can't be from the state that it is in
    no_reason,
};
std::string_view words(Refusal refusal);

}  // namespace drumwatch
