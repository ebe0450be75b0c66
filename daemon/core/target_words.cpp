#include "core/target_words.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/words.hpp"

namespace drumwatch {
namespace {

std::string usual(const TargetDoubt& doubt, std::string_view unit) {
    return fmt::format("{:g} to {:g} {} is usual", doubt.low, doubt.high, unit);
}

std::string move_of(const TargetDoubt& doubt, const Target& target) {
    const auto i = static_cast<std::size_t>(doubt.index);
    return i < target.moves.size() ? words(target.moves[i]) : std::string("a move");
}

double point_s(const TargetDoubt& doubt, const Target& target) {
    const auto i = static_cast<std::size_t>(doubt.index);
    return i < target.points.size() ? target.points[i].t_s : 0;
}

std::string steepness(const TargetDoubt& doubt, const Target& target) {
    return fmt::format("{:+.1f} °C a minute at {}; after the turning point {:g} to {:g} is usual",
                       doubt.value, minutes_seconds(point_s(doubt, target)), doubt.low, doubt.high);
}

std::string off_the_curve(const TargetDoubt& doubt) {
    return fmt::format("says {:.1f} °C, and the curve has {:.1f} °C at that time", doubt.value, doubt.low);
}

std::string spreads(const MakingNote& note) {
    return fmt::format("the roasts agree on it within {:.1f} s", note.value);
}

std::string roast_name(const MakingNote& note, const std::vector<std::string>& roasts) {
    const auto i = static_cast<std::size_t>(note.roast);
    return i < roasts.size() ? roasts[i] : std::string("a roast");
}

std::string by_trigger(const MakingNote& note, const Target& target) {
    const auto i = static_cast<std::size_t>(note.move);
    return fmt::format("{}: {}, and on a time since charge within {:.1f} s only",
                       i < target.moves.size() ? words(target.moves[i]) : "a move", spreads(note),
                       note.limit);
}

std::string outvoted(const MakingNote& note) {
    return fmt::format("{} to {:g} at {}: made in {} of {} roasts only; not in the plan", name(note.control),
                       note.other, minutes_seconds(note.value), note.count, note.of);
}

std::string mark_words(const MakingNote& note) {
    if (note.kind == MakingNoteKind::mark_left_out)
        return fmt::format("{}: the middle of its marks is out of order with the others; left out",
                           words(note.milestone));
    if (note.count == 0)
        return fmt::format("{} is marked in no roast: the target has none, and the forecast must do without",
                           words(note.milestone));
    return fmt::format("{} is marked in {} of {} roasts", words(note.milestone), note.count, note.of);
}

std::string corridor_words(const MakingNote& note) {
    if (note.kind == MakingNoteKind::corridor_widened)
        return fmt::format(
            "the roasts keep within {:.1f} °C of each other's middle 19 times in 20: that is the "
            "corridor (the site's is {:.1f} °C)",
            note.value, note.limit);
    return fmt::format(
        "the roasts differ by {:.1f} °C: the corridor was widened to {:.1f} °C and not further; "
        "do they belong together?",
        note.value, note.limit);
}

}  // namespace

std::string words(const Trigger& trigger) {
    switch (trigger.kind) {
        case TriggerKind::at_s:
            return "at " + minutes_seconds(trigger.value);
        case TriggerKind::bean_c:
            return fmt::format("at {:g} °C", trigger.value);
        case TriggerKind::after_first_crack_s:
            return fmt::format("{:g} s after first crack", trigger.value);
    }
    return {};
}

std::string words(const PlannedMove& move) {
    return fmt::format("{} to {} {}", name(move.control), words_level(move.to, move.unit), words(move.when));
}

std::string words(const TargetDoubt& doubt, const Target& target) {
    switch (doubt.kind) {
        case TargetDoubtKind::trial:
            return "a trial target: on the machine a batch that follows it is told how it went, and its "
                   "verdict is \"unjudged\"; a rerun judges by it";
        case TargetDoubtKind::retired:
            return "a retired target: not to be chosen for a new roast";
        case TargetDoubtKind::seeded:
            return fmt::format(
                "its times and its intent come from a sample roast of another machine ({}), its "
                "temperatures from this one: prove it before it is approved",
                target.seeded_from);
        case TargetDoubtKind::few_points:
            return fmt::format("{:.0f} points: followed as straight lines between them, which no roast is",
                               doubt.value);
        case TargetDoubtKind::starts_late:
            return fmt::format("begins {:g} s after the charge: nothing is known before", doubt.value);
        case TargetDoubtKind::turning_point_time:
            return fmt::format("turning point at {:.0f} s; {}", doubt.value, usual(doubt, "s"));
        case TargetDoubtKind::turning_point_bean:
            return fmt::format("turning point at {:.1f} °C; {}", doubt.value, usual(doubt, "°C"));
        case TargetDoubtKind::falls:
            return "falls after its turning point: " + steepness(doubt, target);
        case TargetDoubtKind::rises_fast:
            return "rises faster than coffee does: " + steepness(doubt, target);
        case TargetDoubtKind::no_first_crack:
            return "no first crack: it can be followed, and the forecast of first crack must do without";
        case TargetDoubtKind::first_crack_time:
            return fmt::format("first crack at {:.0f} s; {}", doubt.value, usual(doubt, "s"));
        case TargetDoubtKind::off_the_curve:
            return off_the_curve(doubt);
        case TargetDoubtKind::drop_bean:
            return fmt::format("ends at {:.1f} °C; {}", doubt.value, usual(doubt, "°C"));
        case TargetDoubtKind::move_needs_crack:
            return move_of(doubt, target) + ": the target has no first crack to say when that is expected";
        case TargetDoubtKind::move_after_end:
            return fmt::format("{}: that is {:.0f} s after the charge, after the curve's end at {:.0f} s",
                               move_of(doubt, target), doubt.value, doubt.high);
    }
    return {};
}

std::string place(const TargetDoubt& doubt) {
    switch (doubt.kind) {
        case TargetDoubtKind::trial:
        case TargetDoubtKind::retired:
            return "/status";
        case TargetDoubtKind::seeded:
            return "/seeded_from";
        case TargetDoubtKind::no_first_crack:
            return "/milestones";
        case TargetDoubtKind::first_crack_time:
        case TargetDoubtKind::off_the_curve:
            return fmt::format("/milestones/{}", name(doubt.milestone));
        case TargetDoubtKind::move_needs_crack:
        case TargetDoubtKind::move_after_end:
            return fmt::format("/moves/{}/when", doubt.index);
        case TargetDoubtKind::few_points:
        case TargetDoubtKind::starts_late:
        case TargetDoubtKind::turning_point_time:
        case TargetDoubtKind::turning_point_bean:
        case TargetDoubtKind::falls:
        case TargetDoubtKind::rises_fast:
        case TargetDoubtKind::drop_bean:
            return doubt.index < 0 ? "/points" : fmt::format("/points/{}", doubt.index);
    }
    return {};
}

std::string words(const MakingNote& note, const Target& target, const std::vector<std::string>& roasts) {
    switch (note.kind) {
        case MakingNoteKind::roast_shifted:
            return fmt::format("{}: fits the others when its charge is moved by {:+.1f} s; done",
                               roast_name(note, roasts), note.value);
        case MakingNoteKind::roast_left_out:
            return fmt::format(
                "{}: {:.1f} °C from the others most of the time ({:.1f} °C is the limit); its curve "
                "was left out",
                roast_name(note, roasts), note.value, note.limit);
        case MakingNoteKind::curve_of_two:
            return "two roasts can't outvote each other: the curve is the mean of both, the moves those of "
                   "the one that made fewer";
        case MakingNoteKind::mark_missing:
        case MakingNoteKind::mark_left_out:
            return mark_words(note);
        case MakingNoteKind::no_control:
            return fmt::format("{}: not recorded, so that no move of it is planned", name(note.control));
        case MakingNoteKind::unit_differs:
            return fmt::format("{}: {} in another unit than in the first roast; its moves don't count",
                               roast_name(note, roasts), name(note.control));
        case MakingNoteKind::move_by_trigger:
            return by_trigger(note, target);
        case MakingNoteKind::move_outvoted:
            return outvoted(note);
        case MakingNoteKind::drop_by_trigger:
            return fmt::format("drop {}: {}, and on a temperature within {:.1f} s only",
                               target.drop ? words(*target.drop) : "", spreads(note), note.limit);
        case MakingNoteKind::corridor_widened:
        case MakingNoteKind::corridor_capped:
            return corridor_words(note);
    }
    return {};
}

}  // namespace drumwatch
