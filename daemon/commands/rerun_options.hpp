// The files that say how roasts are run again, for the commands that do it.
#pragma once

#include <string>

#include "rerun/rerun.hpp"

namespace drumwatch {

struct RerunSources {
    std::string target;   ///< empty: none, as with the others
    std::string config;   ///< its tick, alarm and verdict limits
    std::string lessons;  ///< what earlier roasts taught
};

/// An exit code: something other than kDone has been said.
int gather(const RerunSources& from, RerunOptions& options);

}  // namespace drumwatch
