#include "core/words.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/command.hpp"

namespace drumwatch {

namespace {

std::string degrees(double celsius) { return fmt::format("{:.1f} °C", celsius); }
std::string signed_degrees(double celsius) { return fmt::format("{:+.1f} °C", celsius); }
std::string seconds(double s) { return fmt::format("{:.0f} s", s); }

}  // namespace

std::string words_level(double level, LevelUnit unit) {
    const double step = unit == LevelUnit::kilopascal ? 100 : 10;
    return fmt::format("{:g} {}", std::round(level * step) / step, name(unit));
}

std::string minutes_seconds(double s) {
    const auto whole = static_cast<long>(std::floor(std::fabs(s) + 0.5));
    return fmt::format("{}{}:{:02}", s <= -0.5 ? "-" : "", whole / 60, whole % 60);
}

std::string_view words(Quality quality) {
    switch (quality) {
        case Quality::good:
            return "good";
        case Quality::never_read:
            return "no reading yet";
        case Quality::stale:
            return "reading too old";
        case Quality::bus_silent:
            return "its bus does not answer";
        case Quality::bad_reply:
            return "reply can't be read";
        case Quality::open_circuit:
            return "open circuit";
        case Quality::out_of_span:
            return "outside its span";
        case Quality::suspect:
            return "jumped";
        case Quality::frozen:
            return "frozen";
        case Quality::short_circuit:
            return "short circuit";
        case Quality::reversed:
            return "reversed: falls when heated";
    }
    return {};
}

namespace {

std::string apart(Milestone milestone, double off_s) {
    return fmt::format("{} is marked {} {} than the curve shows it", words(milestone),
                       minutes_seconds(std::fabs(off_s)), off_s > 0 ? "later" : "earlier");
}

std::string move_prompt(const PromptView& prompt, const Snapshot& snapshot) {
    std::string what = "next move";
    if (snapshot.target && prompt.planned >= 0) {
        const PlannedMove& move = snapshot.target->moves[static_cast<std::size_t>(prompt.planned)];
        what = fmt::format("{} to {}", name(move.control), words_level(move.to, move.unit));
    }
    const double in_s = prompt.in_s.value_or(0);
    if (prompt.kind == PromptKind::move_overdue)
        return fmt::format("{}: {} overdue", what, minutes_seconds(-in_s));
    return in_s > 0.5 ? fmt::format("{} in {}", what, minutes_seconds(in_s)) : what + " now";
}

}  // namespace

std::string words(const PromptView& prompt, const Snapshot& snapshot) {
    const std::string in = minutes_seconds(prompt.in_s.value_or(0));
    switch (prompt.kind) {
        case PromptKind::move_due:
        case PromptKind::move_overdue:
            return move_prompt(prompt, snapshot);
        case PromptKind::first_crack_near:
            return prompt.in_s.value_or(0) > 0.5 ? "first crack in about " + in : "first crack about now";
        case PromptKind::first_crack_not_marked:
            return "first crack not marked: expected " + minutes_seconds(-prompt.in_s.value_or(0)) + " ago";
        case PromptKind::drop_near:
            return "drop in about " + in;
        case PromptKind::drop_due:
            return "drop due by the target";
        case PromptKind::outside_corridor:
            return "outside the corridor: " + signed_degrees(prompt.value);
        case PromptKind::leaving_corridor:
            return "may leave the corridor in " + in;
        case PromptKind::ready_to_charge:
            return "ready to charge";
        case PromptKind::charge_not_as_planned:
            return fmt::format("charged {:.0f} °C {} than planned", std::fabs(prompt.value),
                               prompt.value > 0 ? "hotter" : "colder");
        case PromptKind::mark_disagrees:
            return apart(prompt.milestone, prompt.value);
    }
    return {};
}

std::string words(const MilestoneWhy& why) {
    const double amount = from_milli(why.amount_milli);
    const auto sure = [&](const std::string& what) {
        return fmt::format("{}; {} % sure", what, why.confidence_percent);
    };
    switch (why.by) {
        case FoundBy::nothing:
            return {};
        case FoundBy::steep_fall:
            return sure("the bean temperature broke away and fell by " + degrees(amount));
        case FoundBy::valley:
            return sure("the lowest point, risen again by " + degrees(amount));
        case FoundBy::passed_level:
            return sure("an estimate: " + degrees(amount) + " was passed");
        case FoundBy::broke_down:
            return sure("the curve broke away downwards and stayed " + degrees(amount) + " below its line");
        case FoundBy::broke_up:
            return sure("the curve broke away upwards and stayed " + degrees(amount) + " above its line");
        case FoundBy::lower_after_gap:
            return sure("much colder after " + seconds(amount) + " without a reading: sometime in between");
    }
    return {};
}

std::string words(NoForecast why) {
    switch (why) {
        case NoForecast::none:
            return {};
        case NoForecast::no_roast:
            return "nothing is in the drum";
        case NoForecast::before_turning_point:
            return "known from the turning point on";
        case NoForecast::no_reading:
            return "no good bean reading";
        case NoForecast::cracked:
            return "first crack is marked";
        case NoForecast::not_rising:
            return "the bean temperature is not rising";
        case NoForecast::too_far:
            return "more than 20 minutes away at this rate of rise";
        case NoForecast::dropped:
            return "dropped";
        case NoForecast::time_unknown:
            return "not known: the charge was not seen, or the box was off in this roast for a time that its "
                   "clock can't tell";
    }
    return {};
}

std::vector<std::string> words(const ReadyView& ready) {
    std::vector<std::string> items;
    const auto missing = [&](std::uint32_t bit, std::string text) {
        if (ready.missing & bit) items.push_back(std::move(text));
    };
    missing(kMissingBatchInDrum, "a batch is in the drum");
    missing(kMissingTarget, "choose a target");
    missing(kMissingBeanReading, "no good bean reading");
    const std::string charge = ready.charge_c ? " of " + degrees(*ready.charge_c) : "";
    missing(kMissingChargeTemperature, "bean probe is not at the charge temperature" + charge);
    missing(kMissingRecord, "readings are not being recorded");
    missing(kMissingWarning, "a high alarm is present");
    return items;
}

std::string_view words(Refusal refusal) {
    switch (refusal) {
        case Refusal::none:
            return "done";
        case Refusal::no_roast:
            return "nothing is in the drum";
        case Refusal::unknown_occurrence:
            return "there never was an alarm of that number";
        case Refusal::not_active:
            return "that alarm has ended";
        case Refusal::still_active:
            return "the condition still holds: it can't be reset yet";
        case Refusal::in_future:
            return "that lies in the future";
        case Refusal::before_charge:
            return "that lies before the charge";
        case Refusal::not_marked:
            return "that is not marked";
        case Refusal::out_of_order:
            return "that order can't be: look at what is marked already";
        case Refusal::too_many_moves:
            return "this roast has more moves than can be kept: no more are taken";
        case Refusal::no_such_move:
            return "no move was tapped in at that time; one read from the machine keeps its time";
        case Refusal::read_by_machine:
            return "a channel reads this control: its moves are taken from there, and none needs to be "
                   "tapped";
        case Refusal::not_turned:
            return "the curve has not turned yet: it is too early for that";
        case Refusal::over_full:
            return "the target has this control in %: more than 100 can't be";
        case Refusal::not_acknowledged:
            return "acknowledge it before it is reset";
        case Refusal::not_shelvable:
            return "this alarm stands before a danger: it can't be shelved";
        case Refusal::too_long:
            return "an alarm is shelved for 30 minutes at the most";
        case Refusal::latched_first:
            return "it is latched: acknowledge and reset it first";
        case Refusal::not_shelved:
            return "that alarm is not shelved";
        case Refusal::stays_in_service:
            return "this alarm can't be taken out of service, or not while roasting";
        case Refusal::not_out_of_service:
            return "that alarm is in service";
        case Refusal::already_so:
            return "it is so already, or can't be from the state that it is in";
        case Refusal::no_reason:
            return "say why";
    }
    return {};
}

namespace {

std::string milestone_event(const Event& event, const char* what) {
    const std::string bean = event.bad ? "no bean reading" : degrees(from_milli(event.value_milli));
    const MilestoneWhy why{static_cast<FoundBy>(event.code), static_cast<std::uint8_t>(event.index & 0x7f),
                           event.limit_milli};
    const bool found = event.source == MarkSource::detected && why.by != FoundBy::nothing;
    return fmt::format("{} {} at {:.2f} s, {} ({}{})", words(event.milestone), what,
                       static_cast<double>(event.at.ms) / 1000.0, bean, name(event.source),
                       found ? ": " + words(why) : "");
}

}  // namespace

namespace {

std::string refused_words(const Event& event) {
    const std::string_view why = words(static_cast<Refusal>(event.code));
    switch (static_cast<CommandKind>(event.index)) {
        case CommandKind::mark:
            return fmt::format("{} is not marked: {}", words(event.milestone), why);
        case CommandKind::withdraw_mark:
            return fmt::format("{} is not taken back: {}", words(event.milestone), why);
        case CommandKind::made_move:
        case CommandKind::retime_move:
            return fmt::format("the {} move is not taken: {}", name(event.control), why);
        default:
            return fmt::format("refused: {}", why);
    }
}

std::string sounder_words(const Event& event) {
    const int number = event.index + 1;
    if (event.health == Health::sounder_tested)
        return fmt::format("sounder {} tested: {}", number, event.bad ? "it did not work" : "it works");
    if (!event.bad) return fmt::format("sounder {} can be reached again", number);
    return fmt::format("sounder {} can't be reached: alarms may not be heard there", number);
}

}  // namespace

std::string words(const Event& event) {
    const double value = from_milli(event.value_milli);
    switch (event.kind) {
        case EventKind::milestone_set:
            return milestone_event(event, "found");
        case EventKind::milestone_moved:
            return milestone_event(event, "moved");
        case EventKind::milestone_withdrawn:
            return milestone_event(event, "withdrawn");
        case EventKind::roast_withdrawn:
            if (!event.bad) return "roast withdrawn: not a charge";
            return fmt::format(
                "roast withdrawn: the bean temperature rose again by {} within {} s, as in an "
                "empty drum; no charge, or it was let out again",
                degrees(value), event.limit_milli / 1000);
        case EventKind::roast_aborted:
            return "roast given up";
        case EventKind::cooling_ended:
            return "batch is cool";
        case EventKind::target_chosen:
            return "target chosen";
        case EventKind::target_dropped:
            return "no target";
        case EventKind::move_made:
            return fmt::format("{} moved to {:.1f}", name(event.control), value);
        case EventKind::move_retimed:
            return fmt::format("{} move to {:.1f} was made at {:.2f} s", name(event.control), value,
                               static_cast<double>(event.at.ms) / 1000.0);
        case EventKind::move_judged:
            return fmt::format("{} move judged {}{}", name(event.control),
                               words(static_cast<MoveJudgement>(event.code)),
                               event.bad ? "" : fmt::format(" ({:+.1f} s)", value));
        case EventKind::alarm_raised:
        case EventKind::alarm_cleared:
        case EventKind::alarm_acknowledged:
        case EventKind::alarm_reset:
        case EventKind::alarms_silenced:
        case EventKind::alarm_shelved:
        case EventKind::alarm_unshelved:
        case EventKind::alarm_suppressed:
        case EventKind::alarm_released:
        case EventKind::alarm_out_of_service:
        case EventKind::alarm_returned_to_service:
        case EventKind::alarm_again:
        case EventKind::alarms_flood:
            return words_of_alarm(event);
        case EventKind::verdict_given:
            return fmt::format("verdict of roast {}: {}", event.roast, name(event.disposition));
        case EventKind::health_changed:
            if (event.health == Health::gap_unknown)
                return "the recording was broken off, for how long is not known";
            if (event.health == Health::sounder_failed || event.health == Health::sounder_tested)
                return sounder_words(event);
            return fmt::format("{}: {}", name(event.health), event.bad ? "bad" : "well");
        case EventKind::command_refused:
            return refused_words(event);
        case EventKind::mark_disagrees:
            return apart(event.milestone, value);
        case EventKind::quality_changed:
            return fmt::format("channel {} is {}", event.index,
                               name(static_cast<Quality>(event.value_milli)));
    }
    return {};
}

}  // namespace drumwatch
