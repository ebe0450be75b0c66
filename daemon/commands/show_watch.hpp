// A recorded watch on the page, at the speed at which it was, for a person to look at. It drives nothing, and
// nothing can be told it.
#pragma once

#include <cstdint>
#include <optional>

#include "watch/watch_file.hpp"

namespace drumwatch {

struct ShowOptions {
    std::uint16_t port = 0;        ///< on loopback; 0: any free one
    double speed = 1;              ///< times faster
    std::optional<double> from_s;  ///< since the watch began; nothing: a minute before its first charge
};

/// Until Ctrl-C. Gives the exit code.
int show_watch(const WatchFile& file, const ShowOptions& options);

}  // namespace drumwatch
