#include "service/export_roast.hpp"

#include <fmt/format.h>

namespace drumwatch {

namespace {

constexpr std::int64_t kBefore_ms = 60'000;
constexpr std::int64_t kAfter_ms = 60'000;
constexpr std::int64_t kLongestRoast_ms = 3'600'000;

RoastRow row_of(const Frame& frame, Tick first) {
    RoastRow row;
    row.elapsed_ms = frame.tick - first;
    for (std::size_t i = 0; i < frame.channels; ++i) {
        const Sample& sample = frame.samples[i];
        const bool measured = sample.fresh && is_good(sample.quality);
        row.values.push_back(measured ? std::optional<Milli>(sample.value_milli) : std::nullopt);
    }
    return row;
}

/// A mark's own instant gets a row of its own when no tick has it, so that it is read back to the
/// millisecond.
void put_mark(RoastFile& file, std::int64_t at_ms, Milestone milestone) {
    auto row = file.rows.begin();
    while (row != file.rows.end() && row->elapsed_ms < at_ms) ++row;
    if (row == file.rows.end() || row->elapsed_ms != at_ms || row->mark) {
        RoastRow extra;
        extra.elapsed_ms = at_ms;
        extra.values.resize(file.channels.size());
        row = file.rows.insert(row, std::move(extra));
    }
    row->mark = milestone;
}

}  // namespace

Result<RoastFile> export_roast(RecordReader& reader, std::uint64_t roast_id) {
    const auto found = reader.roast(roast_id);
    if (!found) return Error{found.error()};
    if (!found.value()) return Error{fmt::format("there is no roast {} in the record", roast_id)};
    const RoastRecord& roast = *found.value();
    const auto watch = reader.watch(roast.watch);
    if (!watch) return Error{watch.error()};
    if (!watch.value()) return Error{fmt::format("roast {}: its watch is not in the record", roast_id)};
    const Tick from = roast.charge - kBefore_ms;
    const Tick to = roast.drop ? *roast.drop + kAfter_ms : roast.charge + kLongestRoast_ms;
    const auto frames = reader.frames(roast.watch, from, to);
    if (!frames) return Error{frames.error()};
    if (frames.value().empty())
        return Error{fmt::format("roast {}: no readings are in the record", roast_id)};

    RoastFile file;
    file.channels = watch.value()->channels;
    const Tick first = frames.value().front().tick;
    for (const Frame& frame : frames.value()) file.rows.push_back(row_of(frame, first));
    for (std::size_t i = 0; i < kMilestones; ++i) {
        if (const auto& mark = roast.milestones[i]; mark && mark->at >= first) {
            put_mark(file, mark->at - first, static_cast<Milestone>(i));
        }
    }
    return file;
}

}  // namespace drumwatch
