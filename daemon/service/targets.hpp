// The targets that the configuration offers, read at start and stored in the record. Thread: core.
#pragma once

#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/lessons.hpp"
#include "core/result.hpp"
#include "core/target.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"

namespace drumwatch {

struct OfferedTarget {
    TargetPtr target;
    Lessons lessons;  ///< what the record taught of its coffee on this station
};

/// Every file of the configuration, or the first mistake with the file's name.
Result<std::vector<OfferedTarget>> read_targets(const Config& config);
/// A row of the record for each, in the same order.
std::vector<TargetRow> target_rows(const std::vector<OfferedTarget>& targets, WallTime now);
/// Stores each version that the record does not have yet.
void store_targets(Recorder& recorder, const std::vector<OfferedTarget>& targets, WallTime now);
/// A version that the record has never changes: a target that comes with its number and other contents
/// becomes the next version, on trial if more than limits and labels changed. A sentence for each.
std::vector<std::string> settle_versions(RecordReader& reader, std::vector<OfferedTarget>& targets);
/// What is loaded at start; none where it is retired.
const OfferedTarget* start_target(const std::vector<OfferedTarget>& targets, const std::string& name);
/// Settles versions, saying so in the log. From the newest marked roasts of each coffee; no history where
/// the record can't be read.
void learn_from_record(RecordReader& reader, const std::string& station, std::vector<OfferedTarget>& targets);
/// What today's roasts have taught of a target's coffee.
void remember(std::vector<OfferedTarget>& targets, const Target& of, const Lessons& lessons);
const OfferedTarget* find_target(const std::vector<OfferedTarget>& targets, const std::string& name);

}  // namespace drumwatch
