// A serial port that is ours alone.
//
// The lock (flock) comes before anything is changed: opening alone does not keep another program out, and an
// advisory lock does not keep out one that never asks, so TIOCEXCL follows. Close-on-exec. The exclusive mark
// stays with the terminal, not with a descriptor: let it go before closing.
//
// Source: flock(2), ioctl_tty(2).
#pragma once

#include <string>

#include "core/result.hpp"

namespace drumwatch {

/// An open, locked descriptor of a terminal, to be closed by the caller; or a sentence.
Result<int> open_locked(const std::string& device);
/// No other program can open it from now on (but root's).
Result<Done> keep_others_out(int port, const std::string& device);
void let_others_in(int port);

}  // namespace drumwatch
