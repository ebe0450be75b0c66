// Every key that a target file may have, by place; read by target_json.cpp and held against the tests.
#pragma once

#include <array>

#include "files/json_object.hpp"

namespace drumwatch {

inline constexpr std::array<JsonKey, 17> kTargetKeys{{{"drumwatch_target", true},
                                                      {"name", true},
                                                      {"version"},
                                                      {"status"},
                                                      {"approved_by"},
                                                      {"station"},
                                                      {"coffee"},
                                                      {"seeded_from"},
                                                      {"charge_kg"},
                                                      {"weight_loss_pct"},
                                                      {"colour"},
                                                      {"points", true},
                                                      {"exhaust_points"},
                                                      {"milestones"},
                                                      {"moves"},
                                                      {"drop"},
                                                      {"tolerance"}}};
inline constexpr std::array<JsonKey, 3> kTargetMilestoneKeys{{{"at_s", true}, {"bean_c"}, {"spread_s"}}};
inline constexpr std::array<JsonKey, 4> kTargetMoveKeys{
    {{"control", true}, {"to", true}, {"unit", true}, {"when", true}}};
inline constexpr std::array<JsonKey, 3> kTriggerKeys{{{"at_s"}, {"bean_c"}, {"after_first_crack_s"}}};

}  // namespace drumwatch
