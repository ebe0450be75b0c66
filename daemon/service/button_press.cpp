#include "service/button_press.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/alarm.hpp"
#include "core/words.hpp"

namespace drumwatch {

namespace {

using Meant = std::variant<Command, std::string>;

Command plain(CommandKind kind, const Snapshot& shown) {
    Command command;
    command.kind = kind;
    command.at = shown.tick;
    return command;
}

Meant acknowledge(const Snapshot& shown) {
    const AlarmView* meant = nullptr;
    for (const AlarmView& alarm : shown.alarms) {
        if (!waits_for_acknowledgement(alarm.state)) continue;
        const bool more = meant == nullptr || alarm.priority < meant->priority ||
                          (alarm.priority == meant->priority && alarm.occurrence > meant->occurrence);
        if (more) meant = &alarm;
    }
    if (meant == nullptr) return "no alarm waits to be acknowledged";
    Command command = plain(CommandKind::acknowledge, shown);
    command.occurrence = meant->occurrence;
    return command;
}

Meant silence(const Snapshot& shown) {
    if (shown.sounder.pattern == Pattern::off) return "no alarm sounds";
    return plain(CommandKind::silence, shown);
}

bool is_marked(const RoastView& roast, Milestone milestone) {
    const auto& at = roast.milestones[static_cast<std::size_t>(milestone)];
    return at && at->source == MarkSource::mark;
}

Meant mark(Milestone milestone, const Snapshot& shown) {
    Command command = plain(CommandKind::mark, shown);
    command.milestone = milestone;
    command.seen = shown.sequence;
    return command;
}

Meant next_mark(const Snapshot& shown) {
    if (!shown.roast) return "nothing is in the drum";
    const RoastView& roast = *shown.roast;
    const auto& crack = roast.milestones[static_cast<std::size_t>(Milestone::first_crack)];
    if (is_marked(roast, Milestone::first_crack)) {
        const double since_s = seconds_between(crack->at, shown.tick);
        if (since_s >= kDropAfterCrack_s) return mark(Milestone::drop, shown);
        return fmt::format("first crack was marked {:.0f} s ago: that is no drop yet", since_s);
    }
    if (!roast.milestones[static_cast<std::size_t>(Milestone::turning_point)])
        return "the curve has not turned yet";
    if (is_marked(roast, Milestone::yellow)) return mark(Milestone::first_crack, shown);
    if (!roast.smoothed_c) return "the bean temperature is not known: yellow or first crack?";
    return mark(*roast.smoothed_c < kYellowBelow_c ? Milestone::yellow : Milestone::first_crack, shown);
}

Meant move_done(const Snapshot& shown) {
    if (!shown.roast) return "nothing is in the drum";
    if (!shown.next_move) return "no more moves are planned";
    const auto planned = std::find_if(shown.moves.begin(), shown.moves.end(), [&](const MoveView& move) {
        return move.planned == shown.next_move->planned;
    });
    const auto& in_s = shown.next_move->in_s;
    if (planned == shown.moves.end() || !in_s) return "when the next move is due is not known yet";
    if (*in_s > kMoveWithin_s) return fmt::format("the next move is due in {:.0f} s only", *in_s);
    Command command = plain(CommandKind::made_move, shown);
    command.control = planned->control;
    command.level_milli = to_milli(planned->planned_level).value_or(0);
    return command;
}

}  // namespace

std::variant<Command, std::string> command_of(ButtonMeaning meaning, const Snapshot& shown) {
    switch (meaning) {
        case ButtonMeaning::acknowledge:
            return acknowledge(shown);
        case ButtonMeaning::silence:
            return silence(shown);
        case ButtonMeaning::next_mark:
            return next_mark(shown);
        case ButtonMeaning::move_done:
            return move_done(shown);
    }
    return std::string();
}

}  // namespace drumwatch
