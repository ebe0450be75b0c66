#include "service/reminder_desk.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <utility>

#include "config/limiter.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kPace_ms = 60'000;

std::string_view unit_word(ReminderUnit unit) {
    switch (unit) {
        case ReminderUnit::batches:
            return "batches";
        case ReminderUnit::kilograms:
            return "kg";
        case ReminderUnit::hours:
            return "h";
    }
    return {};
}

Result<ReminderState> state_of(const ReminderConfig& reminder, const std::vector<CareRow>& care,
                               RecordReader& reader) {
    const auto last = std::find_if(care.begin(), care.end(),
                                   [&](const CareRow& row) { return row.reminder == reminder.name; });
    const bool ever = last != care.end();
    const auto use = reader.use_after(ever ? last->after_roast : 0);
    if (!use) return Error{use.error()};
    ReminderState state;
    state.name = reminder.name;
    state.unit = unit_word(reminder.unit);
    state.every = reminder.every;
    state.counted = counted(reminder.unit, use.value());
    state.due = *state.counted >= reminder.every;
    if (reminder.unit == ReminderUnit::kilograms) state.without_weight = use.value().without_weight;
    if (ever) {
        state.done_at = last->done;
        state.done_by = last->who;
    }
    return state;
}

ReminderState limiter_state(const LimiterConfig& limiter, const std::vector<CareRow>& care, WallTime now) {
    ReminderState state;
    state.name = kLimiterTest;
    state.unit = "months";
    state.every = static_cast<double>(limiter.test_every_months);
    const auto last = std::find_if(care.begin(), care.end(),
                                   [](const CareRow& row) { return row.reminder == kLimiterTest; });
    if (last != care.end()) {
        state.done_at = last->done;
        state.done_by = last->who;
    }
    const auto months = months_since_test(limiter, state.done_at, now);
    state.due = !months || *months >= limiter.test_every_months;
    if (months) state.counted = *months;
    return state;
}

Result<std::vector<ReminderState>> states_of(const std::vector<ReminderConfig>& reminders,
                                             const LimiterConfig& limiter, WallTime now,
                                             RecordReader& reader) {
    const auto care = reader.newest_care();
    if (!care) return Error{care.error()};
    std::vector<ReminderState> states;
    for (const ReminderConfig& reminder : reminders) {
        auto state = state_of(reminder, care.value(), reader);
        if (!state) return Error{state.error()};
        states.push_back(std::move(state.value()));
    }
    if (limiter.stated) states.push_back(limiter_state(limiter, care.value(), now));
    return states;
}

bool was_due(const std::vector<ReminderState>& states, const std::string& name) {
    return std::any_of(states.begin(), states.end(),
                       [&](const ReminderState& state) { return state.name == name && state.due; });
}

}  // namespace

double counted(ReminderUnit unit, const MachineUse& use) {
    switch (unit) {
        case ReminderUnit::batches:
            return static_cast<double>(use.batches);
        case ReminderUnit::kilograms:
            return static_cast<double>(use.charged_g) / 1000;
        case ReminderUnit::hours:
            return static_cast<double>(use.roasting_ms) / 3'600'000;
    }
    return 0;
}

ReminderDesk::ReminderDesk(const Config& config, Recorder& recorder, QueryDesk& queries, const Clock& clock,
                           Post post)
    : reminders_(config.reminders),
      limiter_(config.limiter),
      recorder_(recorder),
      queries_(queries),
      clock_(clock),
      post_(std::move(post)) {}

void ReminderDesk::tick(Tick now) {
    const bool none = reminders_.empty() && !limiter_.stated;
    if (none || asking_ || (asked_ && now - *asked_ < kPace_ms)) return;
    asked_ = now;
    ask();
}

void ReminderDesk::ask() {
    asking_ = true;
    queries_.look([this, post = post_, reminders = reminders_, limiter = limiter_, now = clock_.wall()](
                      RecordReader* reader, const std::string& why) {
        auto states = reader ? states_of(reminders, limiter, now, *reader) : Error{why};
        post([this, states = std::move(states)] {
            asking_ = false;
            if (states) return take(states.value());
            spdlog::warn("the reminders can't be counted: {}", states.error());
        });
    });
}

void ReminderDesk::take(std::vector<ReminderState> states) {
    for (const ReminderState& state : states) {
        if (!state.due || was_due(states_, state.name)) continue;
        if (state.counted)
            spdlog::info("due: {} ({:.4g} {} since it was done; every {:.4g})", state.name, *state.counted,
                         state.unit, state.every);
        else
            spdlog::info("due: {} (nobody has stated when it was last done)", state.name);
    }
    states_ = std::move(states);
}

bool ReminderDesk::knows(const std::string& name) const {
    return (limiter_.stated && name == kLimiterTest) ||
           std::any_of(reminders_.begin(), reminders_.end(),
                       [&](const ReminderConfig& one) { return one.name == name; });
}

void ReminderDesk::done(ReminderDone said, Answer answer) {
    if (!knows(said.name))
        return answer(
            {404, true, fmt::format("No reminder is called \"{}\" in the configuration.", said.name)});
    // What waits is written first: a roast that is just over must not count again.
    recorder_.settled([this, post = post_, said = std::move(said), answer = std::move(answer)] {
        queries_.look([this, post, said, answer](RecordReader* reader, const std::string& why) {
            const auto use = reader ? reader->use_after(0) : Result<MachineUse>(Error{why});
            post([this, said, answer, use] {
                if (!use) return answer({503, true, "The record can't be read just now: " + use.error()});
                keep(said, use.value().newest_over, answer);
            });
        });
    });
}

void ReminderDesk::keep(const ReminderDone& said, std::uint64_t after_roast, const Answer& answer) {
    spdlog::info("done: {}{}", said.name, said.who.empty() ? "" : " (" + said.who + ")");
    recorder_.append(CareRow{said.name, said.who, said.client_id, clock_.wall(), after_roast},
                     [this, post = post_, answer](bool committed) {
                         post([this, answer, committed] {
                             asked_.reset();
                             if (committed)
                                 return answer({200, true, "Noted, and counted anew from now on."});
                             answer({202, false,
                                     "Noted. It is not in the record yet: that is failing and will be tried "
                                     "again."});
                         });
                     });
}

}  // namespace drumwatch
