#include "service/targets.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include "files/target_json.hpp"
#include "roast/forecast/learning.hpp"
#include "service/target_epoch.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kNewestRoasts = 40;

/// In the order of the roasts; the pace counts only of roasts that followed this target. What is from before
/// the probe's present epoch counts for little.
Lessons lessons_of(const std::vector<MarkedRoast>& roasts, const TargetPtr& target,
                   const std::optional<ProbeRow>& epoch) {
    const TargetCurve curve(target);
    Lessons lessons;
    bool doubt = epoch.has_value();
    for (const MarkedRoast& roast : roasts) {
        if (doubt && roast.charged_at.unix_ms > epoch->at.unix_ms) {
            lessons = doubted(lessons);
            doubt = false;
        }
        const bool same = roast.target == target->name;
        if (const auto lesson = lesson_of(roast.milestones, same ? &curve : nullptr))
            lessons = learned(lessons, *lesson);
    }
    return doubt ? doubted(lessons) : lessons;
}

std::string on_trial(const Target& target) {
    return target.status == TargetStatus::trial ? ", on trial until it is approved anew" : "";
}

/// Whether only limits and labels differ: what was approved is the curve with its moves.
bool same_curve(Target a, const Target& b) {
    a.version = b.version;
    a.status = b.status;
    a.approved_by = b.approved_by;
    a.tolerance = b.tolerance;
    a.weight_loss_pct = b.weight_loss_pct;
    a.colour = b.colour;
    return write_target(a) == write_target(b);
}

/// The version of the record that the changed target is, or a new one.
Result<std::string> renumber(RecordReader& reader, const TargetRow& stored, Target& target) {
    const auto newest = reader.target(target.name, 0);
    if (!newest) return Error{newest.error()};
    const auto before = parse_target(stored.json);
    if (!before || !same_curve(target, before.value())) {
        target.status = TargetStatus::trial;
        target.approved_by.clear();
    }
    target.version = newest.value() ? newest.value()->version : stored.version;
    if (newest.value() && newest.value()->json == write_target(target))
        return fmt::format("target {}: what its file calls version {} is version {} of the record{}",
                           target.name, stored.version, target.version, on_trial(target));
    ++target.version;
    return fmt::format(
        "target {} version {} is in the record with other contents, and a version never changes: "
        "what its file says now is version {}{}",
        target.name, stored.version, target.version, on_trial(target));
}

}  // namespace

std::vector<std::string> settle_versions(RecordReader& reader, std::vector<OfferedTarget>& targets) {
    std::vector<std::string> sentences;
    for (OfferedTarget& offered : targets) {
        const auto stored = reader.target(offered.target->name, offered.target->version);
        if (!stored || !stored.value() || stored.value()->json == write_target(*offered.target)) continue;
        Target target = *offered.target;
        const auto sentence = renumber(reader, *stored.value(), target);
        if (!sentence) continue;
        sentences.push_back(sentence.value());
        offered.target = std::make_shared<const Target>(std::move(target));
    }
    return sentences;
}

const OfferedTarget* start_target(const std::vector<OfferedTarget>& targets, const std::string& name) {
    const OfferedTarget* offered = find_target(targets, name);
    return offered && offered->target->status != TargetStatus::retired ? offered : nullptr;
}

Result<std::vector<OfferedTarget>> read_targets(const Config& config) {
    std::vector<OfferedTarget> targets;
    for (const std::string& path : config.targets) {
        auto target = read_target(path, config.verdict);
        if (!target) return Error{target.error()};
        if (find_target(targets, target.value().name)) {
            return Error{path + ": a target called \"" + target.value().name +
                         "\" is there already: give it another name"};
        }
        targets.push_back({std::make_shared<const Target>(std::move(target.value())), {}});
    }
    if (!config.chosen_target.empty() && !find_target(targets, config.chosen_target)) {
        return Error{"\"target\" names \"" + config.chosen_target +
                     "\", but none of the target files is called that"};
    }
    return targets;
}

std::vector<TargetRow> target_rows(const std::vector<OfferedTarget>& targets, WallTime now) {
    std::vector<TargetRow> rows;
    for (const OfferedTarget& offered : targets) {
        const Target& target = *offered.target;
        TargetRow row;
        row.name = target.name;
        row.version = target.version;
        row.status = std::string(name(target.status));
        row.coffee = target.coffee;
        row.json = write_target(target);
        row.stored = now;
        rows.push_back(std::move(row));
    }
    return rows;
}

void store_targets(Recorder& recorder, const std::vector<OfferedTarget>& targets, WallTime now) {
    for (TargetRow& row : target_rows(targets, now)) recorder.put(std::move(row));
}

void learn_from_record(RecordReader& reader, const std::string& station,
                       std::vector<OfferedTarget>& targets) {
    for (const std::string& sentence : settle_versions(reader, targets)) spdlog::warn("{}", sentence);
    const auto log = reader.probe_log();
    const auto epoch = log ? bean_epoch(log.value()) : std::nullopt;
    for (OfferedTarget& offered : targets) {
        const auto roasts = reader.marked_roasts(station, offered.target->coffee, kNewestRoasts);
        if (roasts) offered.lessons = lessons_of(roasts.value(), offered.target, epoch);
    }
}

void remember(std::vector<OfferedTarget>& targets, const Target& of, const Lessons& lessons) {
    for (OfferedTarget& offered : targets) {
        if (offered.target->coffee != of.coffee) continue;
        const Lessons before = offered.lessons;
        offered.lessons = lessons;
        if (offered.target->name == of.name) continue;
        // The pace is a target's own.
        offered.lessons.pace = before.pace;
        offered.lessons.pace_weight = before.pace_weight;
    }
}

const OfferedTarget* find_target(const std::vector<OfferedTarget>& targets, const std::string& name) {
    for (const OfferedTarget& offered : targets) {
        if (offered.target->name == name) return &offered;
    }
    return nullptr;
}

}  // namespace drumwatch
