// What must hold between the parts of a target: each part is right by itself already.
#pragma once

#include "core/target.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

/// `object` is the target's root; mistakes go to it.
void check_target(JsonObject& object, const Target& target);

}  // namespace drumwatch
