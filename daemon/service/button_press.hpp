// What a push-button means at the moment of its press. Pure.
#pragma once

#include <string>
#include <variant>

#include "core/command.hpp"
#include "core/snapshot.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

/// Below it a mark before first crack is yellow, from it on first crack: common practice, no source.
inline constexpr double kYellowBelow_c = 165;
/// A planned move further off than this is not what was meant: judgement, no source.
inline constexpr double kMoveWithin_s = 30;
/// A second press so soon after the mark of first crack is no drop: judgement, no source.
inline constexpr double kDropAfterCrack_s = 10;

/// The command, without who and client id, or the sentence that says why the press does nothing. `shown`: the
/// snapshot that was the newest when it was pressed.
///
/// acknowledge: of the alarms that wait for it the newest one of the highest priority. silence: if something
/// sounds. next_mark: yellow or first crack, then drop; an estimate is no mark. move_done: the next planned
/// move at its planned level.
std::variant<Command, std::string> command_of(ButtonMeaning meaning, const Snapshot& shown);

}  // namespace drumwatch
