// Changes to a target as a person writes them on the command line. What comes out is a new version, on trial
// until it is approved anew: a version that was used never changes.
#pragma once

#include <string>
#include <vector>

#include "core/result.hpp"
#include "core/target.hpp"

namespace drumwatch {

/// Moves are counted from 1, in the order of the file; their numbers are those before any change.
struct TargetEdits {
    std::vector<std::string> points;  ///< "300=162.5": at 300 s, 162.5 degrees C
    double width_s = 20;  ///< the curve near a point follows it, fading out over this; 0: not at all
    std::vector<std::string> moves;      ///< "2:to=65,at_s=80": the keys that change
    std::vector<std::string> new_moves;  ///< "burner:to=70,unit=%,at_s=65"
    std::vector<int> without_moves;      ///< "2"
    std::vector<std::string> tolerance;  ///< "bean_c=1.4"
    std::string drop;                    ///< "bean_c=212"
    std::string weight_loss;             ///< "13.5:15.5", percent of the charge, or "none"
    std::string colour;                  ///< "55:60", or "none"
    std::string approved_by;
    bool retire = false;
    bool empty() const;
};

/// Fails with a sentence that names the change and what would be right. The next version; checked as any
/// target that is read.
Result<Target> edit_target(const Target& target, const TargetEdits& edits);

}  // namespace drumwatch
