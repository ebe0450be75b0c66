// A change of burner or airflow, planned or made, and how the two fit.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "core/milestone.hpp"
#include "core/target.hpp"
#include "core/tick.hpp"

namespace drumwatch {

enum class MoveJudgement : std::uint8_t { waiting, on_time, early, late, missed, extra, wrong_level };
std::string_view words(MoveJudgement judgement);  ///< "on time", "wrong level", ...

struct MoveView {
    Control control = Control::burner;
    LevelUnit unit = LevelUnit::percent;
    std::int16_t planned = -1;  ///< index into the target's moves, -1 for an extra one
    Trigger trigger;            ///< of the planned move
    double planned_level = 0;
    std::optional<double> planned_at_s;  ///< since charge; expected while the trigger has not come
    std::optional<double> made_at_s;
    double made_level = 0;
    std::optional<double> error_s;  ///< made minus planned, positive when late
    MoveJudgement judgement = MoveJudgement::waiting;
    bool tapped = false;  ///< by a person, who may have been late: its time can be set right
};

}  // namespace drumwatch
