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
    bool fresh = false;     ///< a reading of this tick
};

/// The batch in the drum, as far as alarms look at it.
struct RoastInput {
    std::optional<double> deviation_c;  ///< of the smoothed bean temperature, in the judged stretch only
    double corridor_c = 1.1;            ///< now
    double tolerance_c = 1.1;           ///< the corridor at its narrowest
    std::optional<double> rise_per_min;
    std::optional<double> target_rise_per_min;
    std::optional<double> target_end_c;
    bool stands_still = false;        ///< the bean reading, longer than its steps explain: it may be frozen
    bool stands_unexplained = false;  ///< and the exhaust does not fall
    std::optional<double> since_turning_s;
    std::optional<double> since_crack_s;
    bool yellow_passed = false;
    std::optional<double> burner;  ///< level, as read
    double since_move_s = 1e9;     ///< of any control
    std::optional<double> exhaust_rise_per_min;
};

struct AlarmInputs {
    bool roasting = false;
    RoastInput roast;  ///< means something only while roasting
    ProbeInput bean;
    ProbeInput exhaust;
    ProbeInput inlet;
    ProbeInput drum;
    ProbeInput tray;
    ProbeInput oxidiser;
    ProbeInput ambient;
    ProbeInput carbon_monoxide;
    std::optional<double> cooling_s;    ///< since the drop of the batch in the tray
    std::uint16_t silent_buses = 0;     ///< bits
    std::uint16_t bean_buses = 0;       ///< bits of the buses that carry the bean probe
    std::uint16_t silent_channels = 0;  ///< bits of the channels behind those buses
    std::uint16_t faulty_channels =
        0;  ///< bits of those with a fault of their own, and of those in doubt; of
            ///< the bean probe doubts only: its faults are an alarm of their own
    std::uint16_t failed_sounders = 0;  ///< bits
    bool record_failing = false;
    bool disk_low = false;
    bool clock_unsynchronised = false;
    bool clock_stepped = false;
    bool processor_hot = false;
};

enum class Condition : std::uint8_t {
    clear,
    active,
    between,     ///< below the limit, not yet below limit - deadband: an active alarm stays, no new one comes
    blind,       ///< can't be judged now: nothing changes
    suppressed,  ///< by design; suppressed_by says why
};

struct Judgement {
    Condition condition = Condition::blind;
    Priority priority = Priority::medium;
    SuppressedBy suppressed_by = SuppressedBy::nothing;
    bool fresh = true;  ///< a new reading was judged, not one held over
    Milli value_milli = 0;
    Milli limit_milli = 0;
    std::uint16_t members = 0;
    /// What it was judged by may be false: no new alarm while it is, but its delay runs.
    bool doubted = false;
    std::int64_t held_ms = 0;  ///< active for so long already when it is first seen
};

/// Bits by AlarmRule: whose condition held, after its delays, in the round before.
using AlarmsHeld = std::uint32_t;
static_assert(kAlarmRules <= 32);

constexpr AlarmsHeld bit(AlarmRule rule) { return AlarmsHeld{1} << static_cast<unsigned>(rule); }
/// These are judged once a second, and where a roast begins or ends: their delays are 10 s and more.
inline constexpr AlarmsHeld kMayWait = bit(AlarmRule::stall) | bit(AlarmRule::runaway_rise) |
                                       bit(AlarmRule::flame_out) | bit(AlarmRule::oxidiser_cold) |
                                       bit(AlarmRule::cooling_slow) | bit(AlarmRule::disk_low) |
                                       bit(AlarmRule::clock_doubtful) | bit(AlarmRule::processor_hot);

/// Indexed by AlarmRule. Without `all`, those that may wait are left as they are.
void judge_rules(std::array<Judgement, kAlarmRules>& judged, const AlarmSettings& settings,
                 const AlarmInputs& now, AlarmsHeld held, bool all);

}  // namespace drumwatch
