// What a target says about itself, with the place in its file: the one wording for every command, the log and
// the page.
#pragma once

#include <string>
#include <vector>

#include "core/target.hpp"

namespace drumwatch {

/// "PATH: /points/37: falls after its turning point: ..."; empty: nothing to look at. An empty path is left
/// out.
std::vector<std::string> sentences_about(const Target& target, const std::string& path);

}  // namespace drumwatch
