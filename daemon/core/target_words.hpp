// Sentences about a target and its making, from codes and numbers. PURE; any thread.
#pragma once

#include <string>
#include <vector>

#include "core/making_note.hpp"
#include "core/target_doubt.hpp"

namespace drumwatch {

std::string words(const TargetDoubt& doubt, const Target& target);
/// Where in the target's file, as a JSON Pointer: "/milestones/first_crack".
std::string place(const TargetDoubt& doubt);

/// `roasts`: the names of the roasts, in the order in which they were given.
std::string words(const MakingNote& note, const Target& target, const std::vector<std::string>& roasts);

/// "burner to 70 % at 1:05", "airflow to 60 % at 150 °C", "burner to 40 % 20 s after first crack".
std::string words(const PlannedMove& move);
/// "at 1:05", "at 150 °C", "20 s after first crack"
std::string words(const Trigger& trigger);

}  // namespace drumwatch
