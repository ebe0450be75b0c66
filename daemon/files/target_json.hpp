// Target files: the JSON of README "Files". Times in seconds since charge, temperatures in degrees Celsius.
#pragma once

#include <string>

#include "core/result.hpp"
#include "core/target.hpp"

namespace drumwatch {

/// Errors name the place as a JSON Pointer and say what would be right. `defaults` fills a tolerance that the
/// file leaves out.
Result<Target> parse_target(const std::string& text, const Tolerance& defaults = {});
/// A target file, or a roast CSV with marks (README "Files"), by extension .json or .csv/.csv.gz.
Result<Target> read_target(const std::string& path, const Tolerance& defaults = {});
/// Stable: the same target gives the same bytes.
std::string write_target(const Target& target);

}  // namespace drumwatch
