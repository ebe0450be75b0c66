// What differs between two readings of the configuration, and when a running daemon can take it over. Pure.
#pragma once

#include <string>
#include <vector>

#include "config/config.hpp"

namespace drumwatch {

enum class TakenOver : std::uint8_t {
    now,           ///< touches nothing that a roast in the drum is judged by
    quiet_moment,  ///< what the engine knows of the alarms: with the next watch, that is with an empty drum
    restart,       ///< wiring, places and names
};

struct Difference {
    std::string pointer;  ///< JSON Pointer of the part
    TakenOver when = TakenOver::restart;
};

std::vector<Difference> differences(const Config& before, const Config& after);
/// "/alarms/drift: taken over at the next quiet moment"
std::string sentence(const Difference& difference);

}  // namespace drumwatch
