// What the engine knows after one tick: immutable, handed to other threads as std::shared_ptr<const
// Snapshot>. Plain numbers and codes; words are made at the edge (words.hpp). Temperatures in degrees
// Celsius.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "core/alarm.hpp"
#include "core/fixed_list.hpp"
#include "core/milestone.hpp"
#include "core/move.hpp"
#include "core/observation.hpp"
#include "core/probe_doubt.hpp"
#include "core/reading.hpp"
#include "core/target.hpp"
#include "core/verdict.hpp"

namespace drumwatch {

struct ChannelView {
    Milli value_milli = 0;
    Quality quality = Quality::never_read;
    std::int64_t age_ms = 0;             ///< since the newest fresh reading; -1 if there was none
    std::optional<double> rise_per_min;  ///< unit per minute, temperatures only
    ProbeDoubt doubt = ProbeDoubt::none;
};

struct RoastView {
    std::uint64_t id = 0;
    Tick charge;
    std::int64_t elapsed_ms = 0;
    MilestoneSet milestones;
    std::optional<double> smoothed_c;  ///< conditioned bean temperature
    bool charge_from_mark = false;
    bool time_lost = false;  ///< after a gap of unknown length: more time has gone by than elapsed_ms
};

struct CoolingView {
    std::uint64_t id = 0;
    Tick since;
    std::optional<double> tray_c;
};

/// Why the machine is not ready to be charged; bits.
enum ReadyMissing : std::uint32_t {
    kMissingTarget = 1,
    kMissingBeanReading = 2,
    kMissingChargeTemperature = 4,
    kMissingBatchInDrum = 8,
    kMissingRecord = 16,
    kMissingWarning = 32,  ///< a high alarm is present
};

struct ReadyView {
    bool to_charge = false;
    std::uint32_t missing = 0;
    std::optional<double> charge_c;  ///< what the target was charged at
};

struct FollowView {
    double target_c = 0;
    std::optional<double> deviation_c;  ///< measured minus target
    std::optional<double>
        ahead_s;  ///< positive ahead, negative behind; none outside the target's rising part
    std::optional<double> rise_deviation_per_min;
    std::optional<double> drift_per_min;  ///< the same, quieter: over some ten seconds
    std::optional<double> burner_more;  ///< burner now minus what the plan has now, %; what the fan counts on
    double corridor_c = 0;              ///< half width now
    bool judged_now = false;            ///< inside the stretch that the verdict looks at
    bool outside = false;
    double outside_for_s = 0;
    std::optional<double> leaves_in_s;  ///< when the likely part of the fan leaves the corridor
};

/// What may come: 80 of 100 futures lie between low and high.
struct FanPoint {
    double in_s = 0;
    double low_c = 0;  ///< deviation from the target
    double high_c = 0;
};

/// Why there is no forecast.
enum class NoForecast : std::uint8_t {
    none,
    no_roast,
    before_turning_point,
    no_reading,
    cracked,
    not_rising,
    too_far,
    dropped,
    time_unknown,  ///< after a gap of unknown length
};

struct ForecastView {
    double at_s = 0;   ///< since charge
    double low_s = 0;  ///< 80 % interval of the mark as an operator files it
    double high_s = 0;
    double crack_c = 0;  ///< temperature that it counts on
    double crack_spread_c = 0;
    bool from_target = false;
    int roasts = 0;          ///< earlier roasts behind the temperature
    double by_target_s = 0;  ///< what the target takes from the present temperature to that one
    double pace_s = 0;       ///< how much more, by this roast's lead and the pace of earlier ones
    double heat_s = 0;       ///< how much more, by the present rate of rise and burner levels off the plan
};

struct DropView {
    std::optional<double> in_s;
    std::optional<double> at_s;
    std::optional<double> development_s;      ///< since first crack, if dropped now
    std::optional<double> development_share;  ///< 0 to 1
};

/// A planned move that comes next.
struct NextMoveView {
    std::int16_t planned = -1;
    std::optional<double> in_s;  ///< negative: overdue
};

enum class PromptKind : std::uint8_t {
    move_due,
    move_overdue,
    first_crack_near,
    first_crack_not_marked,
    drop_near,
    drop_due,
    outside_corridor,
    leaving_corridor,
    ready_to_charge,
    charge_not_as_planned,  ///< value: bean temperature at charge minus the target's
    mark_disagrees,         ///< milestone; value: mark minus detection, in seconds
};
std::string_view name(PromptKind kind);

struct PromptView {
    PromptKind kind = PromptKind::move_due;
    std::optional<double> in_s;
    std::int16_t planned = -1;
    double value = 0;
    Milestone milestone = Milestone::charge;
};

struct SounderView {
    bool on = false;  ///< the level of the output at this tick
    Pattern pattern = Pattern::off;
    bool silenced = false;
};

/// How the curve was kept over the judged stretch; seconds since charge.
struct DeviationSummary {
    double max_c = 0;  ///< signed, of the largest size
    double max_at_s = 0;
    double outside_s = 0;  ///< longest stretch outside the corridor
    double outside_total_s = 0;
    double far_outside_s = 0;     ///< longest stretch beyond the hold limit
    double gap_s = 0;             ///< longest stretch without a good reading
    std::optional<double> end_c;  ///< end temperature minus the target's
    double max_ahead_s = 0;
    double max_behind_s = 0;  ///< negative
};

/// A batch that has left the drum and its verdict.
struct VerdictView {
    Verdict verdict;
    Tick charge;
    Tick dropped;
    double roast_s = 0;
    MilestoneSet milestones;
    DeviationSummary deviation;
    FixedList<MoveView, 64> moves;
    TargetPtr target;
};

struct Snapshot {
    std::uint64_t watch = 0;
    std::uint64_t sequence = 0;  ///< number of the tick on the grid, from 1; a gap leaves numbers out
    Tick tick;
    std::uint8_t channels = 0;
    std::array<ChannelView, kMaxChannels> channel{};
    std::optional<RoastView> roast;
    std::optional<CoolingView> cooling;
    ReadyView ready;
    TargetPtr target;
    std::optional<FollowView> follow;
    FixedList<MoveView, 64> moves;  ///< planned in the target's order, then extra ones
    std::optional<NextMoveView> next_move;
    std::optional<ForecastView> forecast;
    NoForecast no_forecast = NoForecast::no_roast;
    std::optional<DropView> drop;
    FixedList<FanPoint, 8> fan;
    std::optional<VerdictView> last_verdict;
    FixedList<AlarmView, kAlarmRules> alarms;
    PutAsideNotesPtr put_aside_notes;  ///< null: none; counts for what is put aside now
    bool alarm_flood = false;  ///< more came than a person can follow (alarms/figures/flood_watch.hpp)
    FixedList<PromptView, 8> prompts;
    bool prompts_withheld = false;  ///< a safety-relevant alarm is active
    SounderView sounder;
    std::uint32_t silent_buses = 0;     ///< bits
    std::uint32_t health_bad = 0;       ///< bits by Health; sounder_failed: any of them
    std::uint32_t failed_sounders = 0;  ///< bits
};

}  // namespace drumwatch
