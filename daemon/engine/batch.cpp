#include "engine/batch.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace drumwatch {

namespace {
// A bean probe's usual reading when the coffee has turned yellow (from memory); a target's own milestone
// wins.
constexpr double kYellow_c = 150;
constexpr std::int64_t kNear_ms = 3'000;
constexpr std::int64_t kWavers_ms = 4'000;
constexpr std::uint8_t kEstimate_percent = 50;
constexpr double kDisagree_s = 10;
constexpr double kDisagreeEstimate_s = 45;  // a temperature that was passed: no mark is wrong by less
constexpr std::int64_t kChargeFollows_ms = 300'000;  // a charge that is marked may be made so much later
constexpr std::int64_t kTurnedFor_ms = 120'000;      // ... but not once the curve rises for so long
constexpr std::int64_t kEmptyDrum_ms = 5'000;
constexpr std::int64_t kTurnsWithin_ms = 120'000;

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
    matched_at_.reset();
    triggers_.clear();
    reached_.clear();
    follow_.reset();
    ahead_s_.reset();
    burner_.start(target_.get());
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
    drop_.start(found.at);
    for (std::size_t i = 1; i < kMilestones; ++i) {
        if (detected_[i] && detected_[i]->at < found.at) detected_[i].reset();
        auto& known = milestones_[i];
        if (known && known->source == MarkSource::detected && known->at < found.at) known.reset();
    }
}

/// Yellow and first crack are a person's to mark; where the curve passes their usual temperature is an
/// estimate.
void Batch::detect_by_temperature(const BeanTick& bean, FixedList<Milestone, 4>& found) {
    if (!smooth_c_ || !at(Milestone::turning_point) || bean.tick <= at(Milestone::turning_point)->at) return;
    const auto& yellow = target_ ? target_->target().milestones[2] : std::nullopt;
    const double yellow_c = yellow && yellow->bean_c ? *yellow->bean_c : kYellow_c;
    const auto estimate = [&](Milestone milestone, double level_c) {
        if (detected(milestone) || *smooth_c_ < level_c) return;
        const MilestoneWhy why{FoundBy::passed_level, kEstimate_percent, to_milli(level_c).value_or(0)};
        if (detect(milestone, {passed(level_c, bean.tick), level_c, why})) found.push_back(milestone);
    };
    estimate(Milestone::yellow, yellow_c);
    estimate(Milestone::first_crack, crack_.crack_c);
}

/// After the tick's levels were looked at: a level above it is passed at this tick or later.
void Batch::remember_highest() {
    const auto& turned = at(Milestone::turning_point);
    if (!turned) return;
    const auto& entries = trace_.entries();
    auto from = entries.end();
    if (highest_from_ == turned->at) {
        if (from != entries.begin()) --from;  // the rest is known
    } else {
        highest_from_ = turned->at;
        highest_c_ = 0;
        from = entries.begin();
    }
    for (; from != entries.end(); ++from)
        if (from->smooth_good && from->at >= turned->at) highest_c_ = std::max(highest_c_, from->smooth_c);
}

/// The first of the entries that passed() has to look at: where the level was never reached before, the one
/// before the newest.
std::size_t Batch::look_from(double level_c) const {
    const bool reached =
        highest_from_ != at(Milestone::turning_point)->at || static_cast<double>(highest_c_) >= level_c;
    const auto& entries = trace_.entries();
    if (reached || entries.empty()) return 0;
    std::size_t first = entries.size() - 1;
    while (first > 0 && !entries[first - 1].smooth_good) --first;
    return first > 0 ? first - 1 : 0;
}

/// Between two readings, be they a tick or a long gap apart, by a straight line.
Tick Batch::passed(double level_c, Tick now) const {
    const Tick from = at(Milestone::turning_point)->at;
    const TraceEntry* before = nullptr;
    const auto& entries = trace_.entries();
    for (std::size_t i = look_from(level_c); i < entries.size(); ++i) {
        const TraceEntry& entry = entries[i];
        if (!entry.smooth_good || entry.at < from) continue;
        const double entry_c = static_cast<double>(entry.smooth_c);
        if (entry_c < level_c) {
            before = &entry;
            continue;
        }
        if (!before) return entry.at;
        const double before_c = static_cast<double>(before->smooth_c);
        const double part = (level_c - before_c) / (entry_c - before_c);
        return before->at + std::llround(static_cast<double>(entry.at - before->at) * part);
    }
    return now;  // the trace was full before
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

void Batch::look_at(BeanPoint point, FixedList<Milestone, 4>& found) {
    if (const auto turned = turning_.add(point); turned && detect(Milestone::turning_point, *turned))
        found.push_back(Milestone::turning_point);
    if (const auto dropped = drop_.add(point, !awaits_charge(point.at));
        dropped && detect(Milestone::drop, *dropped)) {
        found.push_back(Milestone::drop);
        drop_doubt_.start(drop_.line(), dropped->at, point);
    }
    if (const auto risen_c = doubt_.add(point)) doubted_ = risen_c;
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
    rejected_[static_cast<std::size_t>(Milestone::drop)] = false;  // the next one is another
    drop_.start(charge(), now - charge());
}

FixedList<Milestone, 4> Batch::step(const BeanTick& bean, const ControlLevels& levels) {
    FixedList<Milestone, 4> found;
    remember(bean);
    if (bean.fresh && has_value(bean.quality)) {
        look_at({bean.tick, bean.raw_c}, found);
    }
    detect_by_temperature(bean, found);
    for (std::size_t i = 0; i < kControls; ++i) control_read_[i] |= levels[i].has_value();
    update_follower(bean.tick, levels);
    update_forecast(bean.tick, burner_level(levels));
    update_triggers(bean.tick, levels);
    rematch_in_time(bean.tick);
    remember_highest();
    return found;
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

VerdictView Batch::finish(bool judge_trial) {
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
        view.deviation =
            summarise(trace_, *target_, charge(), time_lost_ ? std::min(drop, *time_lost_) : drop);
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
