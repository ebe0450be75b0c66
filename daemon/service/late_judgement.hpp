// A roast of the record as it stands with what was weighed and measured since. Thread: the query thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/late_facts.hpp"
#include "core/result.hpp"
#include "record/reader.hpp"
#include "web/api.hpp"

namespace drumwatch {

struct JudgedRoast {
    RoastRecord row;  ///< with the verdict that the engine gave
    LateFacts facts;
    TargetPtr target;                ///< that it followed; null: none, or it can't be read
    std::optional<Verdict> verdict;  ///< the engine's with these facts
};

/// One fact takes the place of an earlier one of its kind.
void take(LateFacts& facts, LateKind kind, std::optional<double> value);

/// What was said of a roast, the newest of each kind.
Result<LateFacts> facts_of(RecordReader& reader, std::uint64_t roast);

Result<JudgedRoast> judged_again(RecordReader& reader, RoastRecord row);

/// What comes of facts that somebody gives. Status 200: they can be kept as `rows`, and the text says what
/// they make of the roast; otherwise why they can't.
struct Considered {
    int status = 200;
    std::string text;
    std::vector<LateFactRow> rows;
};
Considered consider(RecordReader& reader, const FactsGiven& given, WallTime now);

}  // namespace drumwatch
