// Reading a configuration for a command: everything that `run` needs from files, or every complaint on
// stderr.
#pragma once

#include <optional>
#include <string>

#include "config/config.hpp"

namespace drumwatch {

/// Nothing when the file or one of its targets has a mistake; all of them have then been said.
std::optional<Config> load_configuration(const std::string& path);

}  // namespace drumwatch
