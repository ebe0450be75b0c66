// What stands behind each alarm: why it comes, what happens if nobody answers, what to do and in what time,
// and whose it is. One row a rule; a row with a hole does not compile. Judgement and common practice of
// roasting and alarm management (fields after the rationalisation record of ANSI/ISA-18.2, from memory). On
// heat, fire and carbon monoxide it gives no instruction of its own: the machine's manual and the site's own
// card do. No text advises more heat, relighting, or going on without the probe. PURE.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "core/alarm.hpp"

namespace drumwatch {

struct AlarmAdvice {
    AlarmRule rule;
    std::string_view title;  ///< "bean overtemperature"
    std::string_view causes;
    std::string_view consequence;  ///< of doing nothing
    std::string_view action;
    int time_allowed_s = 0;  ///< to begin with it
    std::string_view owner;  ///< who answers it, and who looks after its settings
    bool site_card = false;  ///< where the site has a card, that is shown instead of `action`
};

const AlarmAdvice& advice(AlarmRule rule);

/// What a site has put in the place of single fields; nothing: as in the table.
struct SiteAdvice {
    std::optional<std::string> response;
    std::optional<std::string> causes;
    std::optional<std::string> consequence;
    std::optional<int> time_allowed_s;
    std::optional<std::string> owner;
    friend bool operator==(const SiteAdvice&, const SiteAdvice&) = default;
};
using SiteAdvices = std::array<SiteAdvice, kAlarmRules>;  ///< indexed by AlarmRule

/// What is shown to people.
struct ShownAdvice {
    std::string response;
    std::string causes;
    std::string consequence;
    int time_allowed_s = 0;
    std::string owner;
};
/// `site_card`: the site's own card on heat and fire; empty: none.
ShownAdvice shown_advice(AlarmRule rule, const SiteAdvices& site, const std::string& site_card);

}  // namespace drumwatch
