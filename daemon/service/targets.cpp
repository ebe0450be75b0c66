#include "service/targets.hpp"

#include <cmath>

#include "files/target_json.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kNewestCracks = 20;

Lessons lessons_of(const std::vector<double>& cracks) {
    Lessons lessons;
    lessons.roasts = static_cast<int>(cracks.size());
    if (cracks.empty()) return lessons;
    for (const double crack_c : cracks) lessons.crack_c += crack_c / lessons.roasts;
    double squares = 0;
    for (const double crack_c : cracks) squares += (crack_c - lessons.crack_c) * (crack_c - lessons.crack_c);
    if (lessons.roasts > 1) lessons.crack_spread_c = std::sqrt(squares / (lessons.roasts - 1));
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
        const auto history = reader.cracks(station, offered.target->coffee, kNewestCracks);
        if (history) offered.lessons = lessons_of(history.value().crack_c);
    }
}

void remember(std::vector<OfferedTarget>& targets, const Target& of, const Lessons& lessons) {
    for (OfferedTarget& offered : targets) {
        if (offered.target->coffee == of.coffee) offered.lessons = lessons;
    }
}

const OfferedTarget* find_target(const std::vector<OfferedTarget>& targets, const std::string& name) {
    for (const OfferedTarget& offered : targets) {
        if (offered.target->name == name) return &offered;
    }
    return nullptr;
}

}  // namespace drumwatch
