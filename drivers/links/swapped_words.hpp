// Is the word order in the configuration the device's? A guess from one value of two registers.
//
// PURE; any thread. A value is absurd when it is not finite, when scaled it lies outside the channel's span,
// or when it is a number so near to 0 (below 1e-6) that no device measures it: 1.0 with its words swapped is
// 2.3e-41, 187.2 is 4.2e-8, and both would be shown as 0.00. Another order is meant where it makes a number
// of at least 0.001 inside the span of it; the NaN and infinity that devices send for an open probe are left
// alone. Every such value can be a chance (one in some hundred among random registers), so it is a question
// for a person; but it is no good value either way.
//
// Source: the four orders and what a wrong one looks like are common practice, no source.
#pragma once

#include <optional>
#include <string>

#include "drivers/bus.hpp"

namespace drumwatch {

/// The order that would make an absurd value plausible; nothing when the value is not absurd or no order
/// does. `source.modbus` must be set and its type of two registers.
std::optional<WordOrder> order_meant(const ChannelSource& source, std::uint16_t first, std::uint16_t second);

/// "register 4 reads 2.3e-41 as ABCD; as CDAB it would be 187.4: is \"order\" wrong?"
std::string order_sentence(const ChannelSource& source, std::uint16_t first, std::uint16_t second,
                           WordOrder meant);

}  // namespace drumwatch
