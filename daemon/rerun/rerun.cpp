#include "rerun/rerun.hpp"

#include <algorithm>

#include "engine/engine.hpp"

namespace drumwatch {

namespace {

/// Turns rows into frames, one grid instant after the other.
class RowFeeder {
  public:
    RowFeeder(const RoastFile& file, std::int64_t tick_ms)
        : file_(file), tick_ms_(tick_ms), seen_(file.channels.size()) {}

    bool done() const { return next_row_ >= file_.rows.size() && next_tick_.ms > last_ms() + tick_ms_; }

    /// The next frame; rows that went into it are given to `taken`, oldest first.
    template <typename Taken>
    Frame next(Taken taken) {
        Frame frame;
        frame.tick = next_tick_;
        frame.channels = static_cast<std::uint8_t>(file_.channels.size());
        for (Seen& seen : seen_) seen.fresh = false;
        for (; next_row_ < file_.rows.size() && file_.rows[next_row_].elapsed_ms <= next_tick_.ms;
             ++next_row_) {
            take(file_.rows[next_row_]);
            taken(file_.rows[next_row_]);
        }
        for (std::size_t i = 0; i < seen_.size(); ++i) frame.samples[i] = sample(i);
        next_tick_ = next_tick_ + tick_ms_;
        return frame;
    }

  private:
    struct Seen {
        std::optional<Milli> value;
        std::int64_t at_ms = 0;
        bool fresh = false;
    };

    std::int64_t last_ms() const { return file_.rows.empty() ? 0 : file_.rows.back().elapsed_ms; }

    void take(const RoastRow& row) {
        for (std::size_t i = 0; i < seen_.size() && i < row.values.size(); ++i) {
            if (row.values[i]) seen_[i] = {row.values[i], row.elapsed_ms, true};
        }
    }

    Sample sample(std::size_t i) const {
        const Seen& seen = seen_[i];
        if (!seen.value) return {};
        const bool stale = next_tick_.ms - seen.at_ms > file_.channels[i].max_age_ms;
        return {*seen.value, stale ? Quality::stale : Quality::good, seen.fresh};
    }

    const RoastFile& file_;
    std::int64_t tick_ms_;
    std::vector<Seen> seen_;
    std::size_t next_row_ = 0;
    Tick next_tick_;
};

/// The file's marks, as a person's. One that comes before the curve has told that a roast is in the drum (a
/// file that begins in one) waits for that.
class FileMarks {
  public:
    void add(Milestone milestone, Tick at) {
        Command command;
        command.milestone = milestone;
        command.at = at;
        waiting_.push_back(command);
    }

    /// A mark that can't be is in the engine's events, with its reason.
    void apply(Engine& engine, Tick now, bool last) {
        std::vector<Command> later;
        for (Command& mark : waiting_) {
            mark.tick = now;
            const Snapshot& drum = engine.snapshot();
            const bool roast = (drum.roast && mark.at >= drum.roast->charge) || drum.last_verdict;
            if (last || roast || mark.milestone == Milestone::charge) {
                (void)engine.apply(mark);
            } else {
                later.push_back(mark);
            }
        }
        waiting_ = std::move(later);
    }

  private:
    std::vector<Command> waiting_;
};

Begin begin_of(const RoastFile& file, const RerunOptions& options) {
    Begin begin;
    begin.settings.tick_ms = options.tick_ms;
    begin.settings.channels = file.channels;
    begin.settings.alarms = options.alarms;
    begin.settings.judge_trial = true;
    begin.target = options.target;
    begin.lessons = options.lessons;
    return begin;
}

void note_forecast(RerunResult& result, const Snapshot& now) {
    if (!now.roast || !now.forecast || now.tick.ms % 1000 != 0) return;
    const double now_s = static_cast<double>(now.roast->elapsed_ms) / 1000;
    const double file_s = static_cast<double>(now.tick.ms) / 1000;
    result.forecasts.push_back(
        {file_s, now_s, now.forecast->at_s, now.forecast->low_s, now.forecast->high_s});
}

void note_alarms(RerunResult& result, const Event& event) {
    const double at_s = static_cast<double>(event.tick.ms) / 1000;
    if (event.kind == EventKind::alarm_raised)
        result.alarms.push_back({event.rule, event.priority, at_s, std::nullopt});
    if (event.kind != EventKind::alarm_cleared) return;
    for (auto span = result.alarms.rbegin(); span != result.alarms.rend(); ++span) {
        if (span->rule != event.rule || span->cleared_at_s) continue;
        span->cleared_at_s = at_s;
        return;
    }
}

/// The first roast that was not withdrawn; 0 where there is none.
std::uint64_t first_alive(const std::vector<Event>& events) {
    std::uint64_t first = 1;
    for (const Event& event : events) {
        const bool over = event.kind == EventKind::roast_withdrawn || event.kind == EventKind::roast_aborted;
        if (over && event.roast == first) ++first;
    }
    return first;
}

void note_end(RerunResult& result, const Snapshot& last) {
    if (result.dropped) return;
    result.verdict.disposition = Disposition::unjudged;
    Reason reason;
    reason.calls_for = Disposition::unjudged;
    reason.rule = last.roast ? VerdictRule::no_drop : VerdictRule::no_charge;
    result.verdict.reasons.push_back(reason);
    if (!last.roast) return;
    result.charged = true;
    result.charge = last.roast->charge;
    result.milestones = last.roast->milestones;
    result.moves = last.moves;
}

void note_verdict(RerunResult& result, const VerdictView& view) {
    result.charged = true;
    result.dropped = true;
    result.charge = view.charge;
    result.milestones = view.milestones;
    result.moves = view.moves;
    result.deviation = view.deviation;
    result.verdict = view.verdict;
}

}  // namespace

RerunResult rerun(const RoastFile& file, const RerunOptions& options) {
    Engine engine(begin_of(file, options));
    RowFeeder feeder(file, options.tick_ms);
    RerunResult result;
    result.target = options.target;
    FileMarks marks;
    while (!feeder.done()) {
        const Frame frame = feeder.next([&](const RoastRow& row) {
            if (row.mark && !options.ignore_marks) marks.add(*row.mark, Tick{row.elapsed_ms});
        });
        marks.apply(engine, frame.tick, feeder.done());
        const Snapshot& now = engine.step(frame);
        if (options.each_tick) options.each_tick(now);
        for (const Event& event : engine.take_events()) {
            result.events.push_back(event);
            note_alarms(result, event);
            const bool taken_back =
                event.kind == EventKind::milestone_withdrawn && event.milestone == Milestone::drop;
            if (taken_back && event.roast == first_alive(result.events)) result.dropped = false;
        }
        note_forecast(result, now);
        if (now.last_verdict && now.last_verdict->verdict.roast == first_alive(result.events))
            note_verdict(result, *now.last_verdict);
    }
    note_end(result, engine.snapshot());
    result.lessons_after = engine.lessons();
    return result;
}

}  // namespace drumwatch
