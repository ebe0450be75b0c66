// Writing a target's file so that the version before it is kept.
#pragma once

#include <string>

#include "core/target.hpp"

namespace drumwatch {

/// Writes `target` to `path` (.json). Where a target is there already, it is kept beside as NAME.vN.json, N
/// being its version, and `target` becomes a later version than it. Says what it did; an exit code
/// (commands.hpp).
int write_version(const std::string& path, Target& target);

/// What the target doubts about itself, on stderr with its place; how many sentences that were.
std::size_t say_doubts(const Target& target, const std::string& path);

/// What a person wants to see of a target: status, milestones, numbered moves, drop rule, limits.
std::string target_text(const Target& target);

}  // namespace drumwatch
