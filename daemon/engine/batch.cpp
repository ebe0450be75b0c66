#include "engine/batch.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace drumwatch {

namespace {
// A bean probe's usual reading when the coffee has turned yellow (from memory); a target's own milestone
// wins.
constexpr std::int64_t kNear_ms = 3'000;
constexpr std::int64_t kWavers_ms = 4'000;
constexpr double kDisagree_s = 10;
constexpr double kDisagreeEstimate_s = 45;  // a temperature that was passed: no mark is wrong by less
constexpr std::int64_t kChargeFollows_ms = 300'000;  // a charge that is marked may be made so much later
constexpr std::int64_t kTurnedFor_ms = 120'000;      // ... but not once the curve rises for so long
constexpr std::int64_t kEmptyDrum_ms = 5'000;
constexpr std::int64_t kQuickTick_ms = 250;
constexpr int kSummedAtOnce = 3;
constexpr std::array<int, 3> kGivesWay{1, 4, 5};  // times in a row, by job
constexpr std::int64_t kTurnsWithin_ms = 120'000;
constexpr Milli kEmptied_milli = 14'000;  // below its line, an emptied drum's reading is soon

MilestoneAt detected_at(const Found& found) {
    return {found.at, to_milli(found.bean_c), MarkSource::detected, found.why};
}
}  // namespace

void Batch::start(std::uint64_t id, MilestoneAt charge, CurvePtr target, const Lessons& lessons,
                  std::optional<double> idle_s) {
    id_ = id;
    idle_s_ = idle_s;
    milestones_ = {};
    detected_ = {};
    rejected_ = {};
    milestones_[0] = charge;
    counted_from_ = charge.at;
    unseen_ = false;
    if (charge.source == MarkSource::detected) detected_[0] = charge;
    trace_.clear();
    highest_from_.reset();
    trend_.clear();
    made_.clear();
    turning_.start(charge.at);
    drop_.start(charge.at);
    doubt_.start(charge.at,
                 charge.source == MarkSource::detected ? from_milli(charge.bean_milli.value_or(0)) : 0);
    doubted_.reset();
    turned_.reset();
    dropped_.reset();
    gave_way_ = {};
    stepped_ = charge.at;
    drop_doubt_.stop();
    time_lost_.reset();
    smooth_c_.reset();
    rise_per_min_.reset();
    outside_ = false;
    drift_.clear();
    first_burner_.reset();
    control_read_ = {};
    leaving_since_.reset();
    forecast_ = {std::nullopt, NoForecast::before_turning_point};
    set_target(std::move(target), lessons);
}

void Batch::start_unseen(std::uint64_t id, Tick first, CurvePtr target, const Lessons& lessons) {
    start(id, {first, std::nullopt, MarkSource::detected}, std::move(target), lessons, std::nullopt);
    milestones_[0].reset();
    detected_[0].reset();
    unseen_ = true;
    lose_time(first);
}

void Batch::set_target(CurvePtr target, const Lessons& lessons) {
    target_ = std::move(target);
    crack_ = expect_crack(target_.get(), lessons);
    moves_.clear();
    ++matchings_;
    matched_at_.reset();
    triggers_.clear();
    reached_.clear();
    follow_.reset();
    ahead_s_.reset();
    burner_.start(target_.get());
    deviations_.start(target_.get(), charge());
    steady_.clear();
    fresh_at_.reset();
    const std::size_t planned = target_ ? target_->target().moves.size() : 0;
    for (std::size_t i = 0; i < planned && i < kMaxMoves; ++i) {
        triggers_.push_back({});
        reached_.push_back(std::nullopt);
    }
}

bool Batch::detect(Milestone milestone, const Found& found) {
    auto& known = detected_[static_cast<std::size_t>(milestone)];
    if (known) return false;
    known = detected_at(found);
    if (at(milestone)) return false;  // a person's mark stands
    at(milestone) = known;
    return true;
}

bool Batch::too_early(Milestone milestone, Tick when) const {
    const bool after_turning = milestone == Milestone::yellow || milestone == Milestone::first_crack ||
                               milestone == Milestone::second_crack;
    return after_turning && smooth_c_ && !at(Milestone::turning_point) && !unseen_ &&
           when - charge() < kTurnsWithin_ms;
}

bool Batch::awaits_charge(Tick now) const {
    const auto& charge = milestones_[0];
    const auto& turned = detected(Milestone::turning_point);
    return charge && charge->source == MarkSource::mark && !detected_[0] &&
           now - charge->at < kChargeFollows_ms && !(turned && now - turned->at > kTurnedFor_ms);
}

/// What was seen before it, was of the empty drum.
void Batch::detect_charge(const Found& found) {
    detect(Milestone::charge, found);
    if (found.at - milestones_[0]->at <= kEmptyDrum_ms) return;
    turning_.start(found.at);
    turned_.reset();
    dropped_.reset();
    drop_.start(found.at);
    for (std::size_t i = 1; i < kMilestones; ++i) {
        if (detected_[i] && detected_[i]->at < found.at) detected_[i].reset();
        auto& known = milestones_[i];
        if (known && known->source == MarkSource::detected && known->at < found.at) known.reset();
    }
}

void Batch::remember(const BeanTick& bean) {
    smooth_c_.reset();
    rise_per_min_.reset();
    TraceEntry entry;
    entry.at = bean.tick;
    entry.good = bean.fresh && is_good(bean.quality);
    entry.raw_c = static_cast<float>(bean.raw_c);
    if (bean.line && has_value(bean.quality)) {
        smooth_c_ = bean.line->value;
        rise_per_min_ = bean.line->per_second * 60;
        entry.smooth_good = true;
        entry.smooth_c = static_cast<float>(*smooth_c_);
        trend_.add(bean.tick, *smooth_c_, *rise_per_min_);
    }
    trace_.add(entry);
}

bool Batch::believes(const Found& drop, Alarmed alarmed) {
    if (drop.why.by == FoundBy::broke_up) return !alarmed.runs_away;
    const bool shallow = drop.why.by == FoundBy::broke_down && drop.why.amount_milli < kEmptied_milli;
    return !(shallow && alarmed.stalls);
}

void Batch::look_at(BeanPoint point, Alarmed alarmed) {
    if (const auto turned = turning_.add(point)) turned_ = turned;
    if (const auto dropped = drop_.add(point, !awaits_charge(point.at));
        dropped && !detected(Milestone::drop) && believes(*dropped, alarmed)) {
        dropped_ = dropped;
        drop_doubt_.start(drop_.line(), dropped->at, point);
    }
    busy_ = quick_ticks_ && drop_.worked_hard();
    if (const auto risen_c = doubt_.add(point)) doubted_ = risen_c;
}

/// Found in the tick before: what follows from it has its own.
void Batch::tell(FixedList<Milestone, 4>& found) {
    if (turned_ && detect(Milestone::turning_point, *turned_)) found.push_back(Milestone::turning_point);
    if (dropped_ && detect(Milestone::drop, *dropped_)) found.push_back(Milestone::drop);
    turned_.reset();
    dropped_.reset();
}

bool Batch::gives_way(Job job) {
    int& times = gave_way_[static_cast<std::size_t>(job)];
    if (busy_ && times < kGivesWay[static_cast<std::size_t>(job)]) {
        ++times;
        return true;
    }
    times = 0;
    busy_ = quick_ticks_;
    return false;
}

bool Batch::doubt_drop(const BeanTick& bean) {
    if (!drop_doubt_.watches()) return false;
    remember(bean);  // should the roast go on, nothing is missing
    const auto& drop = at(Milestone::drop);
    if (!drop || drop->source == MarkSource::mark) {
        drop_doubt_.stop();
        return false;
    }
    return bean.fresh && has_value(bean.quality) && drop_doubt_.add({bean.tick, bean.raw_c});
}

void Batch::take_back_drop(Tick now) {
    at(Milestone::drop).reset();
    detected_[static_cast<std::size_t>(Milestone::drop)].reset();
    dropped_.reset();
    rejected_[static_cast<std::size_t>(Milestone::drop)] = false;  // the next one is another
    drop_.start(charge(), now - charge());
}

FixedList<Milestone, 4> Batch::step(const BeanTick& bean, const ControlLevels& levels, Alarmed alarmed) {
    FixedList<Milestone, 4> found;
    remember(bean);
    quick_ticks_ = bean.tick - stepped_ <= kQuickTick_ms;
    stepped_ = bean.tick;
    busy_ = false;
    tell(found);
    if (at(Milestone::drop)) return found;  // the rest is the verdict's
    if (bean.fresh && has_value(bean.quality)) look_at({bean.tick, bean.raw_c}, alarmed);
    busy_ = busy_ || (quick_ticks_ && !found.empty());
    detect_by_temperature(bean, found);
    for (std::size_t i = 0; i < kControls; ++i) control_read_[i] |= levels[i].has_value();
    update_follower(bean.tick, levels);
    update_forecast(bean.tick, burner_level(levels));
    update_triggers(bean.tick, levels);
    remember_highest();
    rematch_in_time(bean.tick);
    const bool busy = busy_;
    if (!gives_way(Job::sum)) sum_up(busy ? 1 : kSummedAtOnce);
    return found;
}

void Batch::sum_up(int entries) {
    if (!deviations_.counts_from(charge())) deviations_.start(target_.get(), charge());
    deviations_.go_on(trace_, entries);
}

void Batch::lose_time(Tick now) {
    if (!time_lost_) time_lost_ = now;
    follow_.reset();
    ahead_s_.reset();
}

void Batch::update_follower(Tick now, const ControlLevels& levels) {
    if (!first_burner_) first_burner_ = levels[static_cast<std::size_t>(Control::burner)];
    if (!target_ || time_lost_) return;
    const double outside_s = outside_ ? seconds_between(outside_since_, now) : 0;
    follow_ = follow(*target_, {since_charge_s(now), smooth_c_, rise_per_min_, burner_more(now, levels)},
                     outside_s, drift_);
    wait_before_leaving(now);
    if (follow_->ahead_s) ahead_s_ = follow_->ahead_s;
    if (follow_->outside && !outside_) outside_since_ = now;
    outside_ = follow_->outside || (outside_ && !follow_->deviation_c);
}

/// A curve that only wavers is not leaving the corridor.
void Batch::wait_before_leaving(Tick now) {
    if (!follow_->leaves_in_s) return leaving_since_.reset();
    if (!leaving_since_) leaving_since_ = now;
    if (now - *leaving_since_ < kWavers_ms) follow_->leaves_in_s.reset();
}

std::optional<Milli> Batch::bean_near(Tick when) const {
    const TraceEntry* best = nullptr;
    for (const TraceEntry& entry : trace_.entries()) {
        if (!entry.smooth_good || std::llabs(entry.at - when) > kNear_ms) continue;
        if (!best || std::llabs(entry.at - when) < std::llabs(best->at - when)) best = &entry;
    }
    return best ? to_milli(static_cast<double>(best->smooth_c)) : std::nullopt;
}

std::optional<double> Batch::disagreement_s(Milestone milestone) const {
    const auto& known = at(milestone);
    const auto& found = detected(milestone);
    if (!known || !found || known->source != MarkSource::mark) return std::nullopt;
    const double off_s = seconds_between(found->at, known->at);
    const bool estimate = found->why.by == FoundBy::passed_level;
    return std::fabs(off_s) > (estimate ? kDisagreeEstimate_s : kDisagree_s) ? std::optional(off_s)
                                                                             : std::nullopt;
}

bool Batch::fits(Milestone milestone, Tick when) const {
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto other = static_cast<Milestone>(i);
        const auto& known = milestones_[i];
        if (other == milestone || !known) continue;
        const bool firm = known->source == MarkSource::mark || other == Milestone::charge ||
                          other == Milestone::turning_point || other == Milestone::drop;
        if (!firm) continue;
        if (other < milestone ? when < known->at : when > known->at) return false;
    }
    return true;
}

void Batch::mark(Milestone milestone, Tick when) {
    matched_at_.reset();
    const bool charge = milestone == Milestone::charge && milestones_[0];
    const auto bean_milli = charge ? milestones_[0]->bean_milli : bean_near(when);
    at(milestone) = MilestoneAt{when, bean_milli, MarkSource::mark};
    if (milestone != Milestone::charge) return;
    counted_from_ = when;
    if (unseen_) time_lost_.reset();
    unseen_ = false;
}

void Batch::withdraw(Milestone milestone) {
    matched_at_.reset();
    auto& known = at(milestone);
    if (!known) return;
    const auto i = static_cast<std::size_t>(milestone);
    const bool was_mark = known->source == MarkSource::mark;
    if (!was_mark) rejected_[i] = true;  // a false detection does not come again
    known.reset();
    if (was_mark && !rejected_[i]) known = detected_[i];
}

VerdictView Batch::finish(bool judge_trial, bool probe_check_overdue) {
    matched_at_.reset();
    const Tick drop = at(Milestone::drop)->at;
    rematch(drop, true);

    VerdictView view;
    view.charge = charge();
    view.dropped = drop;
    view.roast_s = since_charge_s(drop);
    view.milestones = milestones_;
    view.moves = moves_;
    if (target_) {
        view.target = target_->pointer();
        sum_up(0);
        view.deviation = deviations_.until(trace_, time_lost_ ? std::min(drop, *time_lost_) : drop);
        if (time_lost_) view.deviation.end_c.reset();
    }
    JudgedBatch batch;
    batch.roast = id_;
    batch.charge = charge();
    batch.drop = drop;
    batch.target = target_.get();
    batch.interrupted = time_lost_.has_value();
    if (!time_lost_) batch.moves = &moves_;
    batch.control_known = control_read_;
    for (const MadeMove& move : made_) batch.control_known[static_cast<std::size_t>(move.control)] = true;
    batch.judge_trial = judge_trial;
    batch.probe_check_overdue = probe_check_overdue;
    batch.idle_s = idle_s_;
    view.verdict = judge(batch, view.deviation);
    for (Reason& reason : view.verdict.reasons)
        if (unseen_ && reason.rule == VerdictRule::interrupted) reason.rule = VerdictRule::no_charge;
    return view;
}

RoastView Batch::roast_view(Tick now) const {
    RoastView view;
    view.id = id_;
    view.charge = charge();
    view.elapsed_ms = now - charge();
    view.milestones = milestones_;
    view.smoothed_c = smooth_c_;
    view.charge_from_mark = milestones_[0] && milestones_[0]->source == MarkSource::mark;
    view.time_lost = time_lost_.has_value();
    return view;
}

}  // namespace drumwatch
