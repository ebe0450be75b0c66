// What a watch is made of, as the JSON that the record keeps, and back again without loss: Begin, commands,
// observations. Pure; any thread. Numbers are written with as many digits as it takes to read the same again.
#pragma once

#include <cstdint>
#include <string>

#include "core/command.hpp"
#include "core/observation.hpp"
#include "core/result.hpp"
#include "engine/begin.hpp"

namespace drumwatch {

std::string begin_text(const Begin& begin);
/// The error says what is missing, and that a watch of an older build may lack it.
Result<Begin> parse_begin(const std::string& text);

/// `refusal`: what the engine said to it; a refused command is kept too, since a rerun refuses it again.
std::string command_text(const Command& command, Refusal refusal = Refusal::none);
Result<Command> parse_command(const std::string& text);
/// What the engine had said to it; Refusal::none where the text does not tell.
Refusal parse_refusal(const std::string& text);

Result<Observation> parse_observation(Tick tick, const std::string& health, int index, bool bad);

}  // namespace drumwatch
