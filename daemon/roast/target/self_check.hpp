// A target looks at itself: what can be followed and is hardly meant. PURE; any thread.
//
// The bounds are judgement about curves of roasting machines of every size (usual ranges of turning point,
// rise, first crack and drop temperature, from the reference roasts of the tests); only warnings follow.
#pragma once

#include <vector>

#include "core/target.hpp"
#include "core/target_doubt.hpp"

namespace drumwatch {

/// In the order of the file's keys. `target` is as files/target_json checks it: two points, times increasing.
std::vector<TargetDoubt> doubts_about(const Target& target);

}  // namespace drumwatch
