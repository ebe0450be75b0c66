#include "service/bookkeeper.hpp"

#include <utility>

#include "watch/journal.hpp"
#include "watch/watch_text.hpp"

namespace drumwatch {

namespace {

bool changes_roast(EventKind kind) {
    return kind == EventKind::milestone_set || kind == EventKind::milestone_moved ||
           kind == EventKind::milestone_withdrawn || kind == EventKind::target_chosen ||
           kind == EventKind::target_dropped;
}

}  // namespace

Bookkeeper::Bookkeeper(Recorder& recorder, std::string station, const Clock& clock)
    : recorder_(recorder), station_(std::move(station)), clock_(clock) {}

void Bookkeeper::begin(const Begin& begin) {
    watch_ = begin.watch;
    first_ = begin.carried.first;
    put_.clear();
    WatchRow row;
    row.id = begin.watch;
    row.tick_ms = begin.settings.tick_ms;
    row.began = begin.wall;
    row.build = begin.build;
    row.config_hash = begin.config_hash;
    row.begin = begin_text(begin);
    row.channels = begin.settings.channels;
    recorder_.begin_watch(std::move(row));
}

void Bookkeeper::go_on(const Begin& begin, const Snapshot& last, Tick next) {
    watch_ = begin.watch;
    first_ = begin.carried.first;
    now_ = next;
    recorder_.continue_watch(begin.watch, last.tick);
    put_roast(last, RoastState::roasting);
    send_changed();
    busy_ = last.roast.has_value() || last.cooling.has_value();
    recorder_.busy(busy_);
}

/// Labels only: the wall clock now, less what has gone by since that tick.
WallTime Bookkeeper::wall_at(Tick tick) const { return {clock_.wall().unix_ms - (now_ - tick)}; }

RoastRecord Bookkeeper::row(std::uint64_t id, Tick charge, const TargetPtr& target) const {
    RoastRecord roast;
    roast.id = id;
    roast.watch = watch_;
    roast.station = station_;
    roast.charge = charge;
    roast.charged_at = wall_at(charge);
    if (target) {
        roast.coffee = target->coffee;
        roast.target_name = target->name;
        roast.target_version = target->version;
    }
    return roast;
}

void Bookkeeper::put_roast(const Snapshot& now, RoastState state) {
    if (!now.roast) return;
    RoastRecord roast = row(now.roast->id, now.roast->charge, now.target);
    roast.state = state;
    roast.milestones = now.roast->milestones;
    roast.moves = moves_json(now.moves);
    in_drum_ = roast;
    put(std::move(roast));
}

void Bookkeeper::put_verdict(const Snapshot& now) {
    if (!now.last_verdict) return;
    const VerdictView& view = *now.last_verdict;
    RoastRecord roast = row(view.verdict.roast, view.charge, view.target);
    roast.state = RoastState::finished;
    roast.drop = view.dropped;
    roast.milestones = view.milestones;
    roast.verdict = view.verdict;
    roast.reasons = reasons_json(view.verdict);
    roast.moves = moves_json(view.moves);
    put(std::move(roast));
}

/// What is known of it stays; only its state changes.
void Bookkeeper::put_given_up(const Event& event) {
    if (!in_drum_ || in_drum_->id != event.roast) return;
    in_drum_->state = event.kind == EventKind::roast_aborted ? RoastState::aborted : RoastState::withdrawn;
    put(*in_drum_);
}

void Bookkeeper::tick(const Frame& frame, const Snapshot& now, const std::vector<Event>& events) {
    now_ = frame.tick;
    TickRows tick{frame, {}, {}};
    bool roast_changed = false;
    bool judged = false;
    for (const Event& event : events) {
        JournalEntry entry = journal_entry(event);
        tick.events.push_back({watch_, entry.roast, entry.tick_ms, entry.at_ms, std::move(entry.kind),
                               std::move(entry.body), std::move(entry.text)});
        roast_changed = roast_changed || changes_roast(event.kind);
        judged = judged || event.kind == EventKind::verdict_given;
        const bool charged = event.kind == EventKind::milestone_set && event.milestone == Milestone::charge;
        if (charged) in_drum_ = this->row(event.roast, event.at, now.target);
        if (event.kind == EventKind::roast_withdrawn || event.kind == EventKind::roast_aborted) {
            put_given_up(event);
        }
    }
    if (judged) put_verdict(now);
    if (roast_changed) put_roast(now, RoastState::roasting);
    tick.roasts = std::exchange(changed_, {});
    recorder_.append(std::move(tick));
    const bool busy = now.roast.has_value() || now.cooling.has_value();
    if (busy != busy_) recorder_.busy(busy);
    busy_ = busy;
}

void Bookkeeper::put(RoastRecord roast) {
    put_[roast.id] = roast;
    changed_.push_back(std::move(roast));
}

void Bookkeeper::send_changed() {
    for (RoastRecord& roast : changed_) recorder_.put(std::move(roast));
    changed_.clear();
}

void Bookkeeper::relabel(WallTime began) {
    recorder_.label(watch_, began);
    for (auto& [id, roast] : put_) {
        roast.charged_at.unix_ms = began.unix_ms + (roast.charge - first_);
        recorder_.put(roast);
    }
}

void Bookkeeper::observed(const Observation& observation) {
    recorder_.append(ObservationRow{watch_, observation.tick.ms, std::string(name(observation.health)),
                                    observation.index, observation.bad});
}

void Bookkeeper::told(const Command& command, Refusal refusal, std::function<void(bool)> committed) {
    CommandRow row;
    row.watch = watch_;
    row.tick_ms = command.tick.ms;
    row.kind = std::string(name(command.kind));
    row.body = command_text(command, refusal);
    row.who = command.who;
    row.client_id = command.client_id;
    row.wall = clock_.wall();
    recorder_.append(std::move(row), std::move(committed));
}

void Bookkeeper::end(const Snapshot& last) {
    put_roast(last, RoastState::interrupted);
    send_changed();
    recorder_.end_watch();
}

}  // namespace drumwatch
