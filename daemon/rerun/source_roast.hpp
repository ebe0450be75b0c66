// A roast file as a target is made from it (roast/target/make.hpp): its charge and drop where they are
// marked, else where the engine finds them.
#pragma once

#include "core/result.hpp"
#include "files/roast_csv.hpp"
#include "roast/target/make.hpp"

namespace drumwatch {

/// What is missing is said with `name` in front: a charge, a drop, readings, a bean temperature that is one
/// in degrees Celsius.
Result<SourceRoast> source_roast(const RoastFile& file, const std::string& name);

}  // namespace drumwatch
