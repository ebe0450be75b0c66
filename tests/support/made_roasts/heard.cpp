#include "support/made_roasts/heard.hpp"

#include <algorithm>

#include "core/milli.hpp"
#include "engine/engine.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kAcknowledges_ms = 15'000;
constexpr std::int64_t kAnew_ms = 5'000;  // a prompt that comes back sooner is the same

class Listening {
  public:
    explicit Listening(const MadeDay& day) : day_(day), engine_(day.begin) {}

    HeardDay run() {
        std::size_t command = 0, observation = 0;
        for (const Frame& frame : day_.frames) {
            for (; command < day_.commands.size() && day_.commands[command].tick <= frame.tick; ++command)
                (void)engine_.apply(day_.commands[command]);
            for (;
                 observation < day_.observations.size() && day_.observations[observation].tick <= frame.tick;
                 ++observation)
                engine_.observe(day_.observations[observation]);
            attend(frame.tick);
            const Snapshot& now = engine_.step(frame);
            note_events(now);
            if (frame.tick.ms % 1000 == 0) note_prompts(now);
        }
        return std::move(heard_);
    }

  private:
    void attend(Tick now) {
        const auto present = engine_.snapshot().alarms;
        for (const AlarmView& alarm : present) {
            Command command;
            command.tick = now;
            command.occurrence = alarm.occurrence;
            if (waits_for_acknowledgement(alarm.state) && now - alarm.since >= kAcknowledges_ms) {
                command.kind = CommandKind::acknowledge;
                (void)engine_.apply(command);
            } else if (alarm.state == AlarmState::latched_acknowledged) {
                command.kind = CommandKind::reset;
                (void)engine_.apply(command);
            }
        }
    }

    void note_events(const Snapshot& now) {
        for (const Event& event : engine_.take_events()) {
            heard_.roasts += event.kind == EventKind::verdict_given && roast_ != event.roast;
            if (event.kind == EventKind::verdict_given) roast_ = event.roast;
            heard_.withdrawn += event.kind == EventKind::roast_withdrawn;
            if (event.kind == EventKind::alarm_raised)
                heard_.alarms.push_back({event.rule, event.priority, event.tick, event.value_milli, 0, -1});
        }
        for (const AlarmView& alarm : now.alarms) {
            const auto last = std::find_if(heard_.alarms.rbegin(), heard_.alarms.rend(),
                                           [&](const HeardAlarm& heard) { return heard.rule == alarm.rule; });
            if (last == heard_.alarms.rend() || !is_present(alarm.state)) continue;
            last->priority = std::min(last->priority, alarm.priority);
            last->members = alarm.members;
            last->first = alarm.first;
        }
    }

    void note_prompts(const Snapshot& now) {
        for (const PromptView& prompt : now.prompts) {
            const auto same = std::find_if(open_.begin(), open_.end(), [&](const HeardPrompt& other) {
                return other.kind == prompt.kind && other.planned == prompt.planned;
            });
            const bool there = same != open_.end();
            if (!there || now.tick - same->from > kAnew_ms)
                heard_.prompts.push_back({prompt.kind, prompt.planned, now.tick});
            if (there)
                same->from = now.tick;
            else
                open_.push_back({prompt.kind, prompt.planned, now.tick});
        }
    }

    const MadeDay& day_;
    Engine engine_;
    HeardDay heard_;
    std::uint64_t roast_ = 0;
    std::vector<HeardPrompt> open_;  ///< when each was shown last
};

}  // namespace

HeardDay hear(const MadeDay& day) { return Listening(day).run(); }

}  // namespace drumwatch
