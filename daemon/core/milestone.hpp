// The events of a roast that a person or the curve marks, and the controls that a person moves.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "core/milli.hpp"
#include "core/tick.hpp"

namespace drumwatch {

enum class Milestone : std::uint8_t { charge, turning_point, yellow, first_crack, second_crack, drop };
inline constexpr std::size_t kMilestones = 6;
std::string_view name(Milestone milestone);   ///< "turning_point": the word of files and API
std::string_view words(Milestone milestone);  ///< "turning point": as a person reads it
std::optional<Milestone> milestone_from_name(std::string_view name);

/// A person's mark outranks what was detected.
enum class MarkSource : std::uint8_t { detected, mark };
std::string_view name(MarkSource source);

/// What a detection was found by; its amount is said beside it.
enum class FoundBy : std::uint8_t {
    nothing,          ///< a mark
    steep_fall,       ///< charge: degrees fallen so far
    valley,           ///< turning point: degrees risen again
    passed_level,     ///< an estimate: the temperature at which it usually comes
    broke_down,       ///< drop: degrees below the line that the curve followed
    broke_up,         ///< drop: degrees above it
    lower_after_gap,  ///< drop: length of the gap in thousandths of a second
};
std::string_view name(FoundBy by);

struct MilestoneWhy {
    FoundBy by = FoundBy::nothing;
    std::uint8_t confidence_percent = 0;  ///< judgement, for a person: how seldom such a one is wrong
    Milli amount_milli = 0;
};

struct MilestoneAt {
    Tick at;                          ///< when it happened, back-dated
    std::optional<Milli> bean_milli;  ///< nothing where there was no good reading near that time
    MarkSource source = MarkSource::detected;
    MilestoneWhy why{};
};

/// Indexed by Milestone; empty while it has not happened.
using MilestoneSet = std::array<std::optional<MilestoneAt>, kMilestones>;

enum class Control : std::uint8_t { burner, airflow };
inline constexpr std::size_t kControls = 2;
std::string_view name(Control control);
std::optional<Control> control_from_name(std::string_view name);

enum class LevelUnit : std::uint8_t { percent, kilopascal, step };
std::string_view name(LevelUnit unit);  ///< "%", "kPa", "step"

}  // namespace drumwatch
