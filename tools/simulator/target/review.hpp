#pragma once

#include <optional>
#include <string>
#include <vector>

#include "simulator/operators/trainee.hpp"
#include "simulator/target/target.hpp"

namespace drumwatch::simulator {

struct KeptMove {
    PlannedMove planned;
    std::optional<double> planned_at_s;  ///< when its trigger came in this roast; none if it never did
    std::optional<MadeMove> made;
    bool stood_already = false;  ///< no move was needed: the level was there at its moment
    bool wrong_level() const;    ///< made about in time, but to another level
    /// Positive when late.
    std::optional<double> error_s() const {
        if (!made || !planned_at_s) return std::nullopt;
        return made->at_s - *planned_at_s;
    }
};

/// How a roast by hand kept its target. Deviations are measured minus target, at equal time since charge.
struct Review {
    std::vector<KeptMove> moves;
    std::vector<MadeMove> extra;
    double charge_error_c = 0.0;
    double worst_c = 0.0;
    double worst_at_s = 0.0;
    double end_c = 0.0;         ///< mean of the last 5 s before drop
    double target_end_c = 0.0;  ///< the same of the target
    double drop_at_s = 0.0;
    double target_drop_at_s = 0.0;
    double weight_loss_pct = 0.0;
};

/// The curve is judged from 150 s after charge until the earlier of drop and the target's end. A made move
/// belongs to a planned one of its control: of the same level (to within 2.5 %) and within 25 s, else of
/// another level within 25 s, else of the same level within 90 s.
Review review_roast(const HandRoast& roast, const Target& target);

/// The review in plain sentences, with what to practise.
std::string review_text(const Review& review);

}  // namespace drumwatch::simulator
