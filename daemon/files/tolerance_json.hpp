// The verdict's limits as JSON: a target's "tolerance" and the configuration's "verdict" have the same keys.
#pragma once

#include <array>

#include "core/target.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

inline constexpr std::array<JsonKey, 9> kToleranceKeys{{{"bean_c"},
                                                        {"hold_c"},
                                                        {"rise_s"},
                                                        {"outside_s"},
                                                        {"from_s"},
                                                        {"move_s"},
                                                        {"end_taste_c"},
                                                        {"end_hold_c"},
                                                        {"gap_s"}}};

/// Keys that are absent keep what `into` has. A hold limit must not be narrower than its taste limit.
void read_tolerance(JsonObject& object, Tolerance& into);

}  // namespace drumwatch
