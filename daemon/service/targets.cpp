#include "service/targets.hpp"

#include "files/target_json.hpp"
#include "roast/forecast/learning.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kNewestRoasts = 40;

/// In the order of the roasts; the pace counts only of roasts that followed this target.
Lessons lessons_of(const std::vector<MarkedRoast>& roasts, const TargetPtr& target) {
    const TargetCurve curve(target);
    Lessons lessons;
    for (const MarkedRoast& roast : roasts) {
        const bool same = roast.target == target->name;
        if (const auto lesson = lesson_of(roast.milestones, same ? &curve : nullptr))
            lessons = learned(lessons, *lesson);
    }
    return lessons;
}

}  // namespace

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
    for (OfferedTarget& offered : targets) {
        const auto roasts = reader.marked_roasts(station, offered.target->coffee, kNewestRoasts);
        if (roasts) offered.lessons = lessons_of(roasts.value(), offered.target);
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
