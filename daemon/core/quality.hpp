// How far a value can be believed. Absence and fault are values, never exceptions and never the last good
// number.
#pragma once

#include <cstdint>
#include <string_view>

namespace drumwatch {

enum class Quality : std::uint8_t {
    good = 0,
    never_read = 1,    ///< nothing has come from this channel since the start
    stale = 2,         ///< the newest reading is older than the channel's limit
    bus_silent = 3,    ///< the link does not answer
    bad_reply = 4,     ///< the link answers, but with an exception or something unreadable
    open_circuit = 5,  ///< the device says that the probe is open, or the value is its sign for it
    out_of_span = 6,   ///< outside what the probe can physically read
    suspect = 7,  ///< inside the span, but it jumped faster than physics: not smoothed yet, still watched for
                  ///< limits
    frozen = 8,   ///< no change while the machine's other probes move
    short_circuit = 9,  ///< the wires touch: what is read is the place where they do
    reversed = 10,      ///< connected the wrong way round: falls when heated
};
inline constexpr int kQualities = 11;

constexpr bool is_good(Quality quality) { return quality == Quality::good; }
/// A value inside its span that the overtemperature rules must look at.
constexpr bool has_value(Quality quality) { return quality == Quality::good || quality == Quality::suspect; }

/// The word of the public interface, e.g. "open_circuit".
std::string_view name(Quality quality);

}  // namespace drumwatch
