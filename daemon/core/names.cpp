// The public words of the core vocabulary. Each table stands in the order of its enum; the tests walk them.
#include <array>

#include "core/alarm.hpp"
#include "core/channel.hpp"
#include "core/command.hpp"
#include "core/event.hpp"
#include "core/milestone.hpp"
#include "core/move.hpp"
#include "core/observation.hpp"
#include "core/probe_doubt.hpp"
#include "core/quality.hpp"
#include "core/snapshot.hpp"
#include "core/target.hpp"
#include "core/verdict.hpp"

namespace drumwatch {
namespace {

using Word = std::string_view;

/// A value outside its enum can only be our own bug; it is shown, not read past the table.
template <typename Enum, std::size_t N>
Word word_of(const std::array<Word, N>& table, Enum value) {
    const auto index = static_cast<std::size_t>(value);
    return index < N ? table[index] : Word("?");
}

template <typename Enum, std::size_t N>
std::optional<Enum> value_of(const std::array<Word, N>& table, Word word) {
    for (std::size_t i = 0; i < N; ++i) {
        if (table[i] == word) return static_cast<Enum>(i);
    }
    return std::nullopt;
}

constexpr std::array<Word, kMilestones> kMilestoneNames{"charge",      "turning_point", "yellow",
                                                        "first_crack", "second_crack",  "drop"};
constexpr std::array<Word, kMilestones> kMilestoneWords{"charge",      "turning point", "yellow",
                                                        "first crack", "second crack",  "drop"};
constexpr std::array<Word, kControls> kControlNames{"burner", "airflow"};
constexpr std::array<Word, 13> kRoleNames{"bean",     "exhaust",         "inlet",   "drum",       "tray",
                                          "oxidiser", "burner",          "airflow", "drum_speed", "gas",
                                          "ambient",  "carbon_monoxide", "other"};

}  // namespace

Word name(Milestone milestone) { return word_of(kMilestoneNames, milestone); }
Word words(Milestone milestone) { return word_of(kMilestoneWords, milestone); }
std::optional<Milestone> milestone_from_name(Word name) { return value_of<Milestone>(kMilestoneNames, name); }

Word name(Control control) { return word_of(kControlNames, control); }
std::optional<Control> control_from_name(Word name) { return value_of<Control>(kControlNames, name); }

Word name(Role role) { return word_of(kRoleNames, role); }
std::optional<Role> role_from_name(Word name) { return value_of<Role>(kRoleNames, name); }

std::optional<std::size_t> find_role(const ChannelTable& channels, Role role) {
    for (std::size_t i = 0; i < channels.size(); ++i) {
        if (channels[i].role == role) return i;
    }
    return std::nullopt;
}

Word symbol(Unit unit) {
    static constexpr std::array<Word, 7> kTable{"°C", "%", "rpm", "kPa", "ppm", "g", ""};
    return word_of(kTable, unit);
}

Word suffix(Unit unit) {
    static constexpr std::array<Word, 7> kTable{"c", "pct", "rpm", "kpa", "ppm", "g", ""};
    return word_of(kTable, unit);
}

Word name(MarkSource source) {
    static constexpr std::array<Word, 2> kTable{"detected", "mark"};
    return word_of(kTable, source);
}

Word name(FoundBy by) {
    static constexpr std::array<Word, 7> kTable{"nothing",    "steep_fall", "valley",         "passed_level",
                                                "broke_down", "broke_up",   "lower_after_gap"};
    return word_of(kTable, by);
}

Word name(LevelUnit unit) {
    static constexpr std::array<Word, 3> kTable{"%", "kPa", "step"};
    return word_of(kTable, unit);
}

Word words(MoveJudgement judgement) {
    static constexpr std::array<Word, 7> kTable{"waiting", "on time", "early",      "late",
                                                "missed",  "extra",   "wrong level"};
    return word_of(kTable, judgement);
}

Word name(TriggerKind kind) {
    static constexpr std::array<Word, 3> kTable{"at_s", "bean_c", "after_first_crack_s"};
    return word_of(kTable, kind);
}

Word name(TargetStatus status) {
    static constexpr std::array<Word, 3> kTable{"trial", "approved", "retired"};
    return word_of(kTable, status);
}

Word name(Quality quality) {
    static constexpr std::array<Word, kQualities> kTable{
        "good",        "never_read", "stale",  "bus_silent",    "bad_reply", "open_circuit",
        "out_of_span", "suspect",    "frozen", "short_circuit", "reversed"};
    return word_of(kTable, quality);
}

Word name(ProbeDoubt doubt) {
    static constexpr std::array<Word, kProbeDoubts> kTable{"none", "noisy", "apart_from_twin"};
    return word_of(kTable, doubt);
}

Word name(Priority priority) {
    static constexpr std::array<Word, 4> kTable{"?", "high", "medium", "low"};
    return word_of(kTable, priority);
}

Word name(AlarmRule rule) {
    static constexpr std::array<Word, kAlarmRules> kTable{
        "bean_high_high", "bean_high",     "exhaust_high",         "inlet_high",      "drum_high",
        "drift",          "stall",         "runaway_rise",         "drop_overdue",    "flame_out",
        "oxidiser_cold",  "cooling_slow",  "carbon_monoxide_high", "carbon_monoxide", "bean_probe_fault",
        "probe_fault",    "bus_silent",    "record_failing",       "disk_low",        "clock_doubtful",
        "processor_hot",  "sounder_failed"};
    return word_of(kTable, rule);
}

std::optional<AlarmRule> alarm_rule_from_name(Word word) {
    for (std::size_t i = 0; i < kAlarmRules; ++i)
        if (name(static_cast<AlarmRule>(i)) == word) return static_cast<AlarmRule>(i);
    return std::nullopt;
}

Word name(AlarmState state) {
    static constexpr std::array<Word, kAlarmStates> kTable{"unknown",
                                                           "normal",
                                                           "unacknowledged",
                                                           "acknowledged",
                                                           "returned_unacknowledged",
                                                           "latched_unacknowledged",
                                                           "latched_acknowledged",
                                                           "shelved",
                                                           "suppressed",
                                                           "out_of_service"};
    return word_of(kTable, state);
}

Word words(AlarmUnit unit) {
    static constexpr std::array<Word, 4> kTable{"", "°C", "°C/min", "ppm"};
    return word_of(kTable, unit);
}

Word words(SuppressedBy why) {
    static constexpr std::array<Word, 6> kTable{"",
                                                "nothing is being roasted",
                                                "not judged in this part of the roast",
                                                "no target is loaded",
                                                "its probe has a fault: see that alarm",
                                                "a graver alarm of the same reading is active"};
    return word_of(kTable, why);
}

Word words(Unshelved why) {
    static constexpr std::array<Word, 3> kTable{"by hand", "its time is over", "the batch is over"};
    return word_of(kTable, why);
}

Word name(Pattern pattern) {
    static constexpr std::array<Word, 4> kTable{"off", "high", "medium", "low"};
    return word_of(kTable, pattern);
}

Word name(Disposition disposition) {
    static constexpr std::array<Word, 4> kTable{"clear", "taste", "hold", "unjudged"};
    return word_of(kTable, disposition);
}

Word name(VerdictRule rule) {
    static constexpr std::array<Word, 20> kTable{
        "far_outside",      "end_temperature", "outside",      "move_off",     "move_missed",
        "move_wrong_level", "no_target",       "trial_target", "no_charge",    "no_drop",
        "readings_missing", "interrupted",     "extra_move",   "first_of_day", "long_break",
        "moves_unknown",    "weight_loss",     "colour",       "end_unread",   "probe_check_overdue"};
    return word_of(kTable, rule);
}

Word name(Health health) {
    static constexpr std::array<Word, 11> kTable{
        "bus_silent",     "record_failing",        "disk_low",           "clock_unsynchronised",
        "sounder_failed", "simulated_clock_apart", "gap_unknown",        "clock_stepped",
        "processor_hot",  "sounder_tested",        "probe_check_overdue"};
    return word_of(kTable, health);
}

Word name(CommandKind kind) {
    static constexpr std::array<Word, 14> kTable{
        "mark",    "withdraw_mark", "choose_target",  "acknowledge",      "reset",
        "silence", "made_move",     "not_a_charge",   "abort_roast",      "retime_move",
        "shelve",  "unshelve",      "out_of_service", "return_to_service"};
    return word_of(kTable, kind);
}

Word name(EventKind kind) {
    static constexpr std::array<Word, 29> kTable{
        "milestone_set",      "milestone_moved",      "milestone_withdrawn",
        "roast_withdrawn",    "roast_aborted",        "cooling_ended",
        "target_chosen",      "target_dropped",       "move_made",
        "move_judged",        "alarm_raised",         "alarm_cleared",
        "alarm_acknowledged", "alarm_reset",          "alarms_silenced",
        "verdict_given",      "health_changed",       "command_refused",
        "quality_changed",    "move_retimed",         "mark_disagrees",
        "alarm_shelved",      "alarm_unshelved",      "alarm_suppressed",
        "alarm_released",     "alarm_out_of_service", "alarm_returned_to_service",
        "alarm_again",        "alarms_flood"};
    return word_of(kTable, kind);
}

Word name(PromptKind kind) {
    static constexpr std::array<Word, 11> kTable{"move_due",         "move_overdue",
                                                 "first_crack_near", "first_crack_not_marked",
                                                 "drop_near",        "drop_due",
                                                 "outside_corridor", "leaving_corridor",
                                                 "ready_to_charge",  "charge_not_as_planned",
                                                 "mark_disagrees"};
    return word_of(kTable, kind);
}

}  // namespace drumwatch
