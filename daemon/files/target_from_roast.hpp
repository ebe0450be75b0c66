// A trial target from one recorded roast: what read_target makes of a roast CSV.
#pragma once

#include <string>

#include "core/result.hpp"
#include "core/target.hpp"
#include "files/roast_csv.hpp"

namespace drumwatch {

/// Needs exactly one charge and one drop mark, and bean readings no more than 15 s apart between them; says
/// what is missing. Points each second since charge, straight between readings, not smoothed; milestones from
/// marks; moves from changes of the burner and airflow channels; dropped at the bean temperature of the drop
/// mark. The name is the file's.
Result<Target> target_from_roast(const RoastFile& roast, const std::string& path, const Tolerance& tolerance);

}  // namespace drumwatch
