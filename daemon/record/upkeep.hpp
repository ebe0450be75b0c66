// What the recorder does at quiet moments, each in one short transaction: finished roasts are repacked, old
// frames outside roasts are thinned to 1 Hz, and where the record is over its budget the oldest of those go.
// A roast never goes: neither its row nor the frames from 60 s before its charge to 300 s after its drop (an
// hour after its charge where no drop is known, which is judgement, no source). Thread: the connection's. The
// newest day of an open watch stays too: a restart may need it. An error means that nothing was changed by
// this call.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "core/wall_time.hpp"
#include "record/database.hpp"
#include "record/row_writer.hpp"

namespace drumwatch {

inline constexpr std::int64_t kKeptBeforeChargeMs = 60'000;
inline constexpr std::int64_t kKeptAfterDropMs = 300'000;
inline constexpr std::int64_t kKeptWithoutDropMs = 3'600'000;
inline constexpr std::int64_t kKeptOfOpenWatchMs = 86'400'000;

struct UpkeepSettings {
    int raw_months = 12;  ///< a month is 30.5 days
    std::int64_t budget_bytes = 0;
};

/// One packed row as it stands in the file.
struct StoredFrames {
    std::uint64_t watch = 0;
    PackedFrames packed;
};

class Upkeep {
  public:
    Upkeep(Database& database, RowWriter& writer, UpkeepSettings settings)
        : database_(database), writer_(writer), settings_(settings) {}

    /// Repacks one roast that is over: its watch has reached 300 s past its drop or is closed. True: one was
    /// done.
    Result<bool> repack_one();
    /// One small step of thinning or making room. True: something was done, call again. `now` decides what is
    /// old.
    Result<bool> keep_within(WallTime now);
    /// Bytes of the file that hold something.
    Result<std::int64_t> used_bytes();
    /// The newest keep_within() found the record over its budget with nothing left that may go.
    bool over_budget() const { return over_budget_; }

  private:
    Result<bool> thin(WallTime now);
    Result<bool> make_room();
    Result<bool> give_back();
    struct Position {
        std::uint64_t watch = 0;
        std::int64_t from_ms = std::numeric_limits<std::int64_t>::min();
    };
    Result<std::vector<StoredFrames>> loose_rows(const std::string& where, const Position& after,
                                                 std::int64_t old);
    Result<std::vector<StoredFrames>> rows_of_roast(std::uint64_t watch, std::int64_t from, std::int64_t to);
    Result<bool> row_between(std::uint64_t watch, std::int64_t after_ms, std::int64_t before_ms);
    Result<Done> replace(const std::vector<StoredFrames>& old, FrameForm form);
    Result<Done> replace_run(std::uint64_t watch, const std::vector<Frame>& frames, FrameForm form);
    Result<Done> keep_damaged(const StoredFrames& row, FrameForm form);
    Result<Done> remove(const StoredFrames& row);

    Database& database_;
    RowWriter& writer_;
    UpkeepSettings settings_;
    // What lies before these is thinned, gone or kept for good. Time only moves on, so neither ever goes
    // back, and a step does not read the whole past again.
    Position thinned_to_;
    Position room_to_;
    bool over_budget_ = false;
};

/// Of ascending frames, the first of each whole second.
std::vector<Frame> thinned(const std::vector<Frame>& frames);

}  // namespace drumwatch
