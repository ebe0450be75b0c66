// What a station measures. A channel's name is also its column in a roast CSV, before the unit: bean ->
// bean_c.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/milli.hpp"

namespace drumwatch {

inline constexpr std::size_t kMaxChannels = 16;

/// What a channel means to the engine. `other` is recorded and shown, and nothing is concluded from it.
enum class Role : std::uint8_t {
    bean,
    exhaust,
    inlet,
    drum,
    tray,
    oxidiser,
    burner,
    airflow,
    drum_speed,
    gas,
    ambient,
    carbon_monoxide,
    other,
};
inline constexpr std::size_t kRoles = 13;

enum class Unit : std::uint8_t { celsius, percent, rpm, kilopascal, ppm, gram, none };

struct Channel {
    std::string name;  ///< lower case, digits and underscores; unique
    Role role = Role::other;
    Unit unit = Unit::celsius;
    Milli span_low_milli = -50'000;
    Milli span_high_milli = 1'000'000;
    std::int64_t max_age_ms = 3000;         ///< an older reading is `stale`
    std::int64_t probe_lag_ms = 0;          ///< known time constant to make up for (roast/signal); 0: none
    std::optional<std::uint8_t> twin = {};  ///< index of another probe in the same place
    Milli twin_limit_milli = 5'000;         ///< how far the two may be apart
    friend bool operator==(const Channel&, const Channel&) = default;
};

/// At most kMaxChannels, in the order of the configuration; a channel's index is its place here.
using ChannelTable = std::vector<Channel>;

std::string_view name(Role role);
std::optional<Role> role_from_name(std::string_view name);  ///< a channel of any other name has Role::other
/// "°C", "%", "rpm", "kPa", "ppm", "g" or "" as a person reads it.
std::string_view symbol(Unit unit);
/// "c", "pct", "rpm", "kpa", "ppm", "g" or "": the suffix of a CSV column.
std::string_view suffix(Unit unit);
std::optional<std::size_t> find_role(const ChannelTable& channels, Role role);
/// Whether a channel of this unit can play the role: a bean channel is a temperature, gas is kPa or %, ...
bool unit_fits(Role role, Unit unit);
/// A channel with the unit's usual span (judgement, no source) and the role that its name gives; Role::other
/// where the unit does not fit. "drum" in rpm is the drum's speed.
Channel make_channel(std::string name, Unit unit);

}  // namespace drumwatch
