// Read-only questions to the record, on a connection of its own. Thread: one (the query thread, or a
// command's). Every call finishes its statements before it returns. Errors are sentences.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/result.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

class RecordReader {
  public:
    static Result<std::unique_ptr<RecordReader>> open(const std::string& path);
    virtual ~RecordReader() = default;

    virtual Result<std::vector<RoastRecord>> roasts(std::size_t limit,
                                                    std::uint64_t before_id) = 0;  ///< newest first
    virtual Result<std::optional<RoastRecord>> roast(std::uint64_t id) = 0;
    /// What weighing and measuring said of it, in the order of saying; none in a backup from before
    /// version 3.
    virtual Result<std::vector<LateFactRow>> late_facts(std::uint64_t roast) = 0;
    /// The newest of each reminder; none in a record from before version 4.
    virtual Result<std::vector<CareRow>> newest_care() = 0;
    /// Everything, oldest first: some rows a month at most. None in a record from before version 5.
    virtual Result<std::vector<ProbeRow>> probe_log() = 0;
    virtual Result<MachineUse> use_after(std::uint64_t roast) = 0;
    virtual Result<std::optional<WatchRow>> watch(std::uint64_t id) = 0;
    virtual Result<std::vector<WatchSpan>> watch_spans() = 0;  ///< of all watches, oldest first
    /// Frames of a watch with from <= tick <= to, oldest first. A damaged row of them is left out.
    virtual Result<std::vector<Frame>> frames(std::uint64_t watch, Tick from, Tick to) = 0;
    virtual Result<std::vector<EventRow>> events(std::uint64_t watch, Tick from,
                                                 Tick to) = 0;                    ///< by tick_ms
    virtual Result<std::vector<EventRow>> alarm_events(std::uint64_t watch) = 0;  ///< by tick_ms
    virtual Result<std::vector<EventRow>> events_of_roast(std::uint64_t roast) = 0;
    virtual Result<std::vector<CommandRow>> commands(std::uint64_t watch) = 0;  ///< as they were stored
    /// Those with a client id, of any watch, newest first.
    virtual Result<std::vector<CommandRow>> newest_commands(std::size_t limit) = 0;
    virtual Result<std::vector<ObservationRow>> observations(
        std::uint64_t watch) = 0;                          ///< as they were stored
    virtual Result<std::vector<TargetRow>> targets() = 0;  ///< newest version of each name
    virtual Result<std::optional<TargetRow>> target(const std::string& name,
                                                    int version) = 0;  ///< version 0: newest
    /// The newest ones, oldest first.
    virtual Result<std::vector<MarkedRoast>> marked_roasts(const std::string& station,
                                                           const std::string& coffee, std::size_t newest) = 0;
};

}  // namespace drumwatch
