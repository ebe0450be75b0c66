// Who is told of every byte on a link, frames as they went and noise between them alike.
//
// Called on the bus's own thread, once for each piece that was sent or has come, in their order; must not
// wait. A driver calls it where it writes to its port and reads from it.
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <string_view>

namespace drumwatch {

/// As the box sees it.
enum class ByteWay : std::uint8_t { sent, received };

constexpr std::string_view name(ByteWay way) { return way == ByteWay::sent ? "sent" : "received"; }

/// Empty: nobody listens, and a link does no more than see that it is empty.
using ByteTap = std::function<void(ByteWay way, std::span<const std::uint8_t> bytes)>;

}  // namespace drumwatch
