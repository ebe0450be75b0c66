// Writes rows into an open database, inside a transaction that the caller holds. Thread: the connection's.
#pragma once

#include <span>
#include <string>
#include <variant>
#include <vector>

#include "record/database.hpp"
#include "record/pack.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

/// The end of a watch, in order with its other rows.
struct WatchEnd {
    std::uint64_t watch = 0;
    std::int64_t tick_ms = 0;
};

struct WatchReopened {
    std::uint64_t watch = 0;
};

struct WatchLabel {
    std::uint64_t watch = 0;
    WallTime began;
};

using Row = std::variant<WatchRow, WatchEnd, WatchReopened, WatchLabel, EventRow, ObservationRow, CommandRow,
                         RoastRecord, TargetRow, LateFactRow, CareRow, ProbeRow>;

/// How a row of frames came to be.
enum class FrameForm : std::uint8_t { written = 0, repacked = 1, thinned = 2 };

class RowWriter {
  public:
    static Result<RowWriter> prepare(Database& database);

    /// On an error the database's error_kind() says whether trying again can help. A command whose client_id
    /// is already there, and a target version that is, change nothing and succeed.
    Result<Done> write(const Row& row);
    Result<Done> write_frames(std::uint64_t watch, const PackedFrames& packed, FrameForm form);
    /// Notices of the newest write() for a person; empty: none. E.g. a target version that came with other
    /// contents.
    const std::string& notice() const { return notice_; }

  private:
    RowWriter() = default;
    Result<Done> put(const WatchRow& row);
    Result<Done> put(const WatchEnd& row);
    Result<Done> put(const WatchReopened& row);
    Result<Done> put(const WatchLabel& row);
    Result<Done> put(const EventRow& row);
    Result<Done> put(const ObservationRow& row);
    Result<Done> put(const CommandRow& row);
    Result<Done> put(const RoastRecord& row);
    Result<Done> put(const TargetRow& row);
    Result<Done> put(const LateFactRow& row);
    Result<Done> put(const CareRow& row);
    Result<Done> put(const ProbeRow& row);
    Result<Done> compare(const TargetRow& row);

    std::vector<Statement> statements_;
    std::string notice_;
};

/// Packed frames out of a statement whose columns from `first` on are from_ms, to_ms, count, layout, crc,
/// body.
PackedFrames packed_frames(const Statement& row, int first);

}  // namespace drumwatch
