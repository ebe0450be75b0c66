// How well the alarms do on made days: what sounds in good roasts, and whether each trouble is found once,
// under its right name, before what follows from it, in its time. Stations with odd seeds are for tuning,
// even ones are held back.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "support/made_roasts/heard.hpp"

namespace drumwatch {

using RuleCounts = std::array<int, kAlarmRules>;

struct GoodFigures {
    int roasts = 0;
    int not_seen = 0;     ///< charge or drop was not found, or a roast was made up
    int turned_away = 0;  ///< batches of the generator that were no good roasts
    int alarms = 0;       ///< onsets
    int high = 0;
    int with_alarm = 0;  ///< roasts
    RuleCounts by_rule{};
    std::array<int, 10> prompts{};  ///< by PromptKind; in no count of alarms
};
/// A day of ten roasts at this station.
void listen_to_good(const MadeStation& station, GoodFigures& figures);

/// The alarm that names a trouble.
struct TroubleName {
    AlarmRule rule = AlarmRule::drift;
    Priority priority = Priority::medium;
    /// Allowed from what the trouble must first have come to, as the truth has it (see true_onset), to the
    /// alarm: its delay, and what smoothing and judging once a second add. Judgement.
    double within_s = 0;
};
TroubleName name_of(Trouble trouble);

struct TroubleFigures {
    int days = 0;
    int found = 0;        ///< under its name, with its priority, and where it has them its cause and members
    int in_time = 0;      ///< within_s
    int once = 0;         ///< no alarm came twice
    int first_right = 0;  ///< what sounded first was its name, or what truly came to pass before
    std::vector<double> after_onset_s;  ///< the alarm (late move: the prompt)
    std::vector<double> after_truth_s;  ///< from what within_s counts from
    RuleCounts besides{};               ///< other alarms after the onset
    int strange = 0;                    ///< of these, such as do not follow from it
    int before = 0;                     ///< alarms before the onset, as in any good roast
    int high_before = 0;
    int drift_due = 0;    ///< late moves that truly brought the curve out of the alarm's bounds
    int drift_right = 0;  ///< drift sounded then, and where it was not due it did not
};
void listen_to_trouble(const MadeStation& station, Trouble trouble, TroubleFigures& figures);

}  // namespace drumwatch
