// A bus that is a capture (capture/capture_text.hpp): its readings come again at the times at which they
// came, `speed` times as fast.
//
// A poll gives the oldest reading that is due and was not given yet; one that is more than a second late
// because nobody asked is skipped, as a stream's older lines are. Discrete inputs keep their level until the
// next captured poll, so that presses come again and no others (but for those in skipped polls); where the
// capture begins again, no level is known before its second poll. Where the captured link was down, this one
// is, until the captured one is up again. At the end it is down for good and says so, or begins again one
// second later (`repeat`). A line that is no capture's ends it, with the line's number. The time runs on
// while the host waits to open again.
#pragma once

#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

/// `bus.device` is the file, ChannelSource::captured the channel's name in it. `speed` as in make_driver.
std::unique_ptr<Driver> make_playback(const BusConfig& bus, double speed);

}  // namespace drumwatch
