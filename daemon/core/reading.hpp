// What a driver hands to the core thread, and what the tick makes of it.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "core/channel.hpp"
#include "core/milli.hpp"
#include "core/quality.hpp"
#include "core/tick.hpp"

namespace drumwatch {

/// One measurement, stamped by the tick that takes it in. `value_milli` means nothing unless
/// has_value(quality).
struct Reading {
    std::uint8_t channel = 0;  ///< index into the ChannelTable
    Milli value_milli = 0;
    Quality quality = Quality::never_read;
};

struct Sample {
    Milli value_milli = 0;
    Quality quality = Quality::never_read;
    bool fresh = false;  ///< measured since the tick before; else held over
    friend bool operator==(const Sample&, const Sample&) = default;
};

/// One tick: every channel's sample. This is the engine's food and what the record keeps.
struct Frame {
    Tick tick;
    std::uint8_t channels = 0;
    std::array<Sample, kMaxChannels> samples{};
};

}  // namespace drumwatch
