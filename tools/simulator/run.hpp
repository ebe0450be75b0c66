#pragma once

#include "simulator/options.hpp"

namespace drumwatch::simulator {

/// Runs the simulator until it is told to stop (SIGINT, SIGTERM, SIGHUP), the last batch has cooled, or the
/// trainee quits. Returns the exit code; throws SetupError when it cannot start.
int run(const Options& options);

}  // namespace drumwatch::simulator
