// What the daemon's log says of an event: a sentence for a person, with names in the place of numbers and
// what it means. The journal has words of its own (core/words.hpp), which stored watches are held against.
// Pure; any thread.
#pragma once

#include <string>

#include "config/config.hpp"
#include "core/event.hpp"

namespace drumwatch {

/// `config` names the channels and buses that the event counts.
std::string log_words(const Event& event, const Config& config);

}  // namespace drumwatch
