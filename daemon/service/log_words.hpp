// What the daemon's log says of an event: a sentence for a person, with names in the place of numbers and
// what it means. The journal has words of its own (core/words.hpp), which stored watches are held against.
// Pure; any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "config/config.hpp"
#include "core/event.hpp"
#include "core/snapshot.hpp"

namespace drumwatch {

/// `config` names the channels, buses and sounders that the event counts; `fault` says why a sounder that it
/// speaks of does not work, where that is known.
std::string log_words(const Event& event, const Config& config, std::string_view fault = {});
/// All lines of an event: a verdict has one a reason; what is no news has none.
std::vector<std::string> log_lines(const Event& event, const Snapshot& now, const Config& config,
                                   std::string_view fault = {});

}  // namespace drumwatch
