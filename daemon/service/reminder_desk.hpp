// The site's reminders: how much the machine was used since somebody last did what each asks for. Counted
// from the record, so that a restart forgets nothing. Thread: core; the record is looked into on the query
// thread.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "config/config.hpp"
#include "core/clock.hpp"
#include "core/tick.hpp"
#include "record/recorder.hpp"
#include "service/query_desk.hpp"
#include "web/api.hpp"

namespace drumwatch {

/// The reminder of the limiter's test, where a limiter is stated.
inline constexpr std::string_view kLimiterTest = "test of the independent high-limit control";

/// How much of it one reminder counts, in its own unit.
double counted(ReminderUnit unit, const MachineUse& use);

class ReminderDesk {
  public:
    using Answer = std::function<void(CommandAnswer)>;
    using Post = std::function<void(std::function<void()>)>;

    /// All must outlive it. `post` runs work on the core thread.
    ReminderDesk(const Config& config, Recorder& recorder, QueryDesk& queries, const Clock& clock, Post post);

    /// Once a tick: the record is asked again each minute, and after each saying.
    void tick(Tick now);
    /// Answered once it is in the record, or with 202 while that is failing; 404: no such reminder.
    void done(ReminderDone said, Answer answer);
    /// As in the configuration; empty until the record was asked.
    const std::vector<ReminderState>& states() const { return states_; }

  private:
    bool knows(const std::string& name) const;
    void ask();
    void keep(const ReminderDone& said, std::uint64_t after_roast, const Answer& answer);
    void take(std::vector<ReminderState> states);

    std::vector<ReminderConfig> reminders_;
    LimiterConfig limiter_;
    Recorder& recorder_;
    QueryDesk& queries_;
    const Clock& clock_;
    Post post_;
    std::vector<ReminderState> states_;
    std::optional<Tick> asked_;
    bool asking_ = false;
};

}  // namespace drumwatch
