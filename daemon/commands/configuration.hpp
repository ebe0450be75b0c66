// Reading a configuration for a command: everything that `run` needs from files, or every complaint on
// stderr.
#pragma once

#include <optional>
#include <string>

#include "config/config.hpp"

namespace drumwatch {

struct LoadedConfiguration {
    std::optional<Config> config;
    int exit_code;  ///< commands.hpp; without a configuration: kFailed, it can't be read; else kWrongInput
};

/// No configuration when the file or one of its targets has a mistake; all of them have then been said.
LoadedConfiguration load_configuration(const std::string& path);

}  // namespace drumwatch
