// Texts that the record keeps of a roast: JSON, as the API shows it. Pure.
#pragma once

#include <string>

#include "config/config.hpp"
#include "core/command.hpp"
#include "core/event.hpp"
#include "core/snapshot.hpp"
#include "engine/begin.hpp"
#include "record/record_types.hpp"
#include "service/late_judgement.hpp"

namespace drumwatch {

std::string reasons_json(const Verdict& verdict);
std::string moves_json(const FixedList<MoveView, 64>& moves);
/// One roast as `GET /api/roasts/ID` shows it.
std::string roast_json(const JudgedRoast& roast);
std::string roasts_json(const std::vector<JudgedRoast>& roasts);
/// `doubts`: of each target why it should be confirmed; empty: it need not be.
std::string targets_json(const std::vector<TargetRow>& targets, const std::vector<std::string>& doubts,
                         const std::string& chosen);

}  // namespace drumwatch
