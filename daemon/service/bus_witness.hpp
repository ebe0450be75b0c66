// Who is told what the buses carry. Both are called on the bus's own thread and must not wait; either may be
// empty.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>

#include "drivers/byte_tap.hpp"

namespace drumwatch {

struct PollOutcome;

struct BusWitness {
    /// Of every poll that has ended.
    std::function<void(std::size_t bus, const PollOutcome&)> polled;
    /// Of every piece of bytes on the link.
    std::function<void(std::size_t bus, ByteWay way, std::span<const std::uint8_t> bytes)> bytes;
};

}  // namespace drumwatch
