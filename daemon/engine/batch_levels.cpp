// When the rising bean temperature passed a level: estimates of yellow and first crack, and triggers of
// moves.
#include <algorithm>
#include <cmath>

#include "engine/batch.hpp"

namespace drumwatch {

namespace {
constexpr double kYellow_c = 150;
constexpr std::uint8_t kEstimate_percent = 50;
}  // namespace

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
    const bool known = highest_from_ == turned->at;  // but for the newest
    if (!known) highest_c_ = 0;
    highest_from_ = turned->at;
    for (auto entry = entries.rbegin(); entry != entries.rend() && entry->at >= turned->at; ++entry) {
        if (entry->smooth_good) highest_c_ = std::max(highest_c_, entry->smooth_c);
        if (known) break;
    }
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

}  // namespace drumwatch
