#include <cmath>
#include <cstdio>

#include "simulator/target/review.hpp"

namespace drumwatch::simulator {
namespace {

constexpr double kOnTime_s = 10.0;   ///< common practice
constexpr double kCorridor_c = 1.1;  ///< 2 degrees F, the verdict's default
constexpr double kCharge_c = 3.0;

std::string number(double value, int decimals) {
    char text[32];
    std::snprintf(text, sizeof text, "%.*f", decimals, value);
    return text;
}

std::string minutes(double at_s) {
    const long whole = std::lround(at_s);
    char text[32];
    std::snprintf(text, sizeof text, "%ld:%02ld", whole / 60, whole % 60);
    return text;
}

std::string off(double value, const std::string& unit, const char* above, const char* below, int decimals) {
    return number(std::fabs(value), decimals) + " " + unit + " " + (value >= 0.0 ? above : below);
}

std::string planned_words(const PlannedMove& move) {
    std::string words =
        std::string(control_name(move.control)) + " to " + number(move.to_pct, 0) + " %, planned ";
    switch (move.when.kind) {
        case Trigger::Kind::at_s:
            return words + "at " + minutes(move.when.value);
        case Trigger::Kind::bean_c:
            return words + "at " + number(move.when.value, 0) + " C";
        case Trigger::Kind::after_first_crack_s:
            return words + number(move.when.value, 0) + " s after first crack";
    }
    return words;
}

std::string move_sentence(const KeptMove& kept) {
    std::string line = "  " + planned_words(kept.planned);
    if (kept.planned_at_s && kept.planned.when.kind != Trigger::Kind::at_s) {
        line += " (which came at " + minutes(*kept.planned_at_s) + ")";
    }
    if (kept.stood_already) return line + ": the level stood already.\n";
    if (!kept.made)
        return line + (kept.planned_at_s ? ": not made.\n" : ": its moment never came; not made.\n");
    line += ": made at " + minutes(kept.made->at_s);
    if (kept.wrong_level())
        return line + ", but to " + number(kept.made->to_pct, 0) + " %: the wrong level.\n";
    const auto error_s = kept.error_s();
    if (!error_s) return line + ", though its moment never came.\n";
    if (std::fabs(*error_s) <= kOnTime_s)
        return line + ", on time (" + off(*error_s, "s", "late", "early", 0) + ").\n";
    return line + ", " + off(*error_s, "s", "late", "early", 0) + ".\n";
}

std::string practise_moves(const Review& review) {
    std::string text;
    for (const KeptMove& kept : review.moves) {
        const std::string what =
            std::string(control_name(kept.planned.control)) + " to " + number(kept.planned.to_pct, 0) + " %";
        const auto error_s = kept.error_s();
        if (kept.wrong_level()) {
            text += "  The move " + what + " went to " + number(kept.made->to_pct, 0) +
                    " %: read the level on the page before the hand turns.\n";
        } else if (!kept.made && !kept.stood_already && kept.planned_at_s) {
            text += "  The move " + what +
                    " was left out: read the plan once more, and watch the countdown on the page.\n";
        } else if (error_s && *error_s > kOnTime_s) {
            text += "  The move " + what + " came late: be at the handle half a minute before.\n";
        } else if (error_s && *error_s < -kOnTime_s) {
            text += "  The move " + what + " came early: wait for its moment.\n";
        }
    }
    return text;
}

std::string practise(const Review& review) {
    std::string text = practise_moves(review);
    if (std::fabs(review.charge_error_c) > kCharge_c) {
        text += "  You charged " + off(review.charge_error_c, "C", "too hot", "too cool", 1) +
                ": wait until the empty drum stands at the charge temperature.\n";
    }
    if (std::fabs(review.end_c - review.target_end_c) > kCorridor_c) {
        text += "  The end was " + off(review.end_c - review.target_end_c, "C", "too hot", "too cool", 1) +
                ": watch the last degrees, and be ready at the drop.\n";
    }
    if (std::fabs(review.worst_c) > kCorridor_c) {
        text += std::string("  The curve ran ") + (review.worst_c > 0.0 ? "above" : "below") +
                " the target around " + minutes(review.worst_at_s) +
                ": look at what was done with burner and airflow in the two minutes before that.\n";
    }
    return text.empty()
               ? "  Nothing in particular: do it again, and then with another machine or a hotter charge.\n"
               : text;
}

}  // namespace

std::string review_text(const Review& review) {
    std::string text = "How the roast was kept (a model, not a real machine)\n\nMoves\n";
    for (const KeptMove& kept : review.moves) text += move_sentence(kept);
    for (const MadeMove& made : review.extra) {
        text += std::string("  ") + control_name(made.control) + " from " + number(made.from_pct, 0) +
                " to " + number(made.to_pct, 0) + " % at " + minutes(made.at_s) + ": not in the plan.\n";
    }
    if (review.moves.empty() && review.extra.empty()) text += "  None planned, none made.\n";
    text += "\nCurve\n  Charged " + off(review.charge_error_c, "C", "above", "below", 1) +
            " the target's charge.\n";
    if (review.worst_at_s > 0.0) {
        text += "  Furthest from the target: " + off(review.worst_c, "C", "above", "below", 1) + ", at " +
                minutes(review.worst_at_s) + ".\n";
    } else {
        text += "  Dropped before the curve could be judged (it is judged from 2:30 on).\n";
    }
    text += "  End temperature " + number(review.end_c, 1) + " C; the target ends at " +
            number(review.target_end_c, 1) + " C.\n";
    text += "  Dropped at " + minutes(review.drop_at_s) + "; the target drops at " +
            minutes(review.target_drop_at_s) + ". Weight loss " + number(review.weight_loss_pct, 1) + " %.\n";
    return text + "\nWhat to practise\n" + practise(review);
}

}  // namespace drumwatch::simulator
