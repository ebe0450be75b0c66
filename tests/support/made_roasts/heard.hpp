// What a made day's operator hears and is shown: every onset of an alarm, and prompts apart. The operator
// acknowledges each alarm after a quarter of a minute and resets what has latched once it is over.
#pragma once

#include <vector>

#include "core/snapshot.hpp"
#include "support/made_roasts/made_day.hpp"

namespace drumwatch {

struct HeardAlarm {
    AlarmRule rule = AlarmRule::drift;
    Priority priority = Priority::medium;  ///< the gravest it had
    Tick raised;
    Milli value_milli = 0;
    std::uint16_t members = 0;
    std::int8_t first = -1;
};

struct HeardPrompt {
    PromptKind kind = PromptKind::move_due;
    int planned = -1;
    Tick from;
};

struct HeardDay {
    std::vector<HeardAlarm> alarms;    ///< in their order
    std::vector<HeardPrompt> prompts;  ///< each stretch of one once
    int roasts = 0;                    ///< charged and dropped
    int withdrawn = 0;                 ///< charges found and taken back
};

HeardDay hear(const MadeDay& day);

}  // namespace drumwatch
