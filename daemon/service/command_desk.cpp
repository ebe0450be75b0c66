#include "service/command_desk.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace drumwatch {

namespace {

int status_of(Refusal refusal) {
    switch (refusal) {
        case Refusal::none:
            return 200;
        case Refusal::unknown_occurrence:
            return 404;
        case Refusal::in_future:
        case Refusal::before_charge:
        case Refusal::out_of_order:
        case Refusal::not_turned:
        case Refusal::over_full:
            return 422;
        default:
            return 409;
    }
}

CommandAnswer refused(Refusal refusal) { return {status_of(refusal), true, std::string(words(refusal))}; }

CommandAnswer committed_answer(bool committed) {
    if (committed) return {200, true, "done and recorded"};
    return {202, false, "done, but not recorded yet: the record is failing and will be tried again"};
}

}  // namespace

CommandDesk::CommandDesk(Engine& engine, Bookkeeper& books, std::int64_t tick_ms, Post post)
    : engine_(engine), books_(books), tick_ms_(tick_ms), post_(std::move(post)) {}

void CommandDesk::take(Command command, Answer answer) {
    const std::string id = command.client_id;
    if (!id.empty()) {
        const auto known =
            std::find_if(seen_.begin(), seen_.end(), [&](const Seen& s) { return s.client_id == id; });
        if (known != seen_.end()) {
            if (known->answered) return answer(known->given);
            known->waiting.push_back(std::move(answer));
            return;
        }
        forget_one();
        seen_.push_back({id, false, {}, {}});
    }
    // It enters the next tick; what it says of the past may not be later than that.
    command.tick = engine_.snapshot().tick + tick_ms_;
    if (const auto changed = changed_meanwhile(command)) return finish(id, *changed, answer);
    const Refusal refusal = engine_.apply(command);
    if (refusal != Refusal::none) {
        books_.told(command, refusal, nullptr);
        return finish(id, refused(refusal), answer);
    }
    note_change(command);
    // The recorder may answer while all is taken down: then only the copy of post_ is alive, and nothing runs
    // it any more.
    books_.told(command, refusal, [this, post = post_, id, answer = std::move(answer)](bool committed) {
        post([this, id, answer, committed] { finish(id, committed_answer(committed), answer); });
    });
}

/// Two tablets: the later one did not know what the other had done.
std::optional<CommandAnswer> CommandDesk::changed_meanwhile(const Command& command) const {
    const bool of_a_mark = command.kind == CommandKind::mark || command.kind == CommandKind::withdraw_mark;
    const Change& change = changes_[static_cast<std::size_t>(command.milestone)];
    if (!of_a_mark || command.seen == 0 || change.sequence <= command.seen) return std::nullopt;
    const std::string who = change.who.empty() ? "somebody else" : change.who;
    return CommandAnswer{
        409, true,
        fmt::format("{} was {} by {} {:.0f} s ago, which this page had not shown yet: look, and do it "
                    "again if it is still needed",
                    words(command.milestone), change.withdrawn ? "withdrawn" : "marked", who,
                    seconds_between(change.tick, command.tick))};
}

void CommandDesk::note_change(const Command& command) {
    if (command.kind != CommandKind::mark && command.kind != CommandKind::withdraw_mark) return;
    changes_[static_cast<std::size_t>(command.milestone)] = {
        static_cast<std::uint64_t>(command.tick.ms / tick_ms_) + 1, command.tick,
        command.kind == CommandKind::withdraw_mark, command.who};
}

void CommandDesk::remember(const std::string& client_id, Refusal given) {
    if (client_id.empty()) return;
    forget_one();
    seen_.push_back({client_id, true, given == Refusal::none ? committed_answer(true) : refused(given), {}});
}

/// The oldest of too many; never one whose answer somebody waits for.
void CommandDesk::forget_one() {
    if (seen_.size() < kRemembered) return;
    const auto oldest =
        std::find_if(seen_.begin(), seen_.end(), [](const Seen& seen) { return seen.answered; });
    if (oldest != seen_.end()) seen_.erase(oldest);
}

void CommandDesk::finish(const std::string& client_id, const CommandAnswer& given, const Answer& answer) {
    answer(given);
    if (client_id.empty()) return;
    for (Seen& seen : seen_) {
        if (seen.client_id != client_id) continue;
        seen.answered = true;
        seen.given = given;
        for (const Answer& waiting : seen.waiting) waiting(given);
        seen.waiting.clear();
    }
}

}  // namespace drumwatch
