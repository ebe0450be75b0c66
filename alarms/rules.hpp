// The conditions behind the alarms. PURE: what the engine knows at one tick goes in, one judgement a rule
// comes out. Overtemperature and probe-fault rules look at validated raw values, before any smoothing: the
// shortest path.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "alarms/settings.hpp"
#include "core/alarm.hpp"
#include "core/quality.hpp"

namespace drumwatch {

struct ProbeInput {
    bool configured = false;
    Quality quality = Quality::never_read;
    Milli value_milli = 0;  ///< means something only if has_value(quality)
};

struct AlarmInputs {
    bool roasting = false;
    ProbeInput bean;
    ProbeInput exhaust;
    std::optional<double> deviation_c;  ///< of the smoothed bean temperature, in the judged stretch only
    double corridor_c = 1.1;            ///< now
    double tolerance_c = 1.1;           ///< the corridor at its narrowest
    std::uint16_t silent_buses = 0;     ///< bits
    std::uint16_t bean_buses = 0;       ///< bits of the buses that carry the bean probe
    std::uint16_t silent_channels = 0;  ///< bits of the channels behind those buses
    bool record_failing = false;
};

enum class Condition : std::uint8_t {
    clear,
    active,
    between,     ///< below the limit, not yet below limit - deadband: an active alarm stays, no new one comes
    blind,       ///< can't be judged now: nothing changes
    suppressed,  ///< by design: an active alarm ends at once
};

struct Judgement {
    Condition condition = Condition::blind;
    Priority priority = Priority::medium;
    Milli value_milli = 0;
    Milli limit_milli = 0;
    std::uint16_t members = 0;
};

/// Indexed by AlarmRule.
std::array<Judgement, kAlarmRules> judge_rules(const AlarmSettings& settings, const AlarmInputs& now);

}  // namespace drumwatch
