// SIGHUP: the configuration and its target files are read again. Thread: read_again() on the query thread,
// since it waits for the disk.
#pragma once

#include <optional>
#include <vector>

#include "config/config.hpp"
#include "service/targets.hpp"

namespace drumwatch {

struct ReadAgain {
    Config config;
    std::vector<OfferedTarget> targets;
};

/// Nothing where the configuration or a target has a mistake: all of them are logged then, and nothing
/// changes.
std::optional<ReadAgain> read_again(const Config& present);

/// Logs what differs. Whether all of it is taken over without a restart.
bool say_changes(const Config& present, const Config& again);

}  // namespace drumwatch
