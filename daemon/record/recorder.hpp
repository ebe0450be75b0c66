// The one writer of the record: a thread with a bounded queue before it. A slow or failing disk never holds
// the core up.
//
// Thread: all methods from the core thread, but for status() (any). Callbacks run on the recorder thread:
// only post. Frames, events, commands and observations are committed together, once a second while something
// is in the drum or in the tray (every 5 s else), and at once when a command waits for its answer.
// synchronous=FULL: what was answered as recorded survives a power cut. A failed write is kept in the queue
// and tried again every second; when the queue is full the oldest frames go first, never commands or events,
// and the loss is counted. A row that the database can never take (an unknown watch, say) is left out,
// counted and said in the notice, so that it does not hold up the others.
//
// A row whose watch is 0 belongs to the open one. Frames must come with ascending ticks in an open watch;
// others count as lost. At quiet times the recorder repacks finished roasts and keeps within age and budget
// (upkeep.hpp).
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/reading.hpp"
#include "core/result.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

struct RecorderSettings {
    std::string path;
    int raw_months = 12;
    std::int64_t budget_mb = 4000;
    std::size_t queue_frames = 12'000;  ///< 50 minutes at 4 Hz
};

struct RecorderStatus {
    bool writing = true;      ///< the newest commit succeeded
    std::string complaint;    ///< of the newest failure, for a person
    std::uint64_t turns = 0;  ///< of the recorder's thread: it goes on, at least one every 5 s
    bool at_disk = false;     ///< it waits for the disk just now, however long that takes
    std::uint64_t commits = 0;
    std::uint64_t failures = 0;
    std::uint64_t frames_lost = 0;
    std::uint64_t rows_refused = 0;
    std::string notice;         ///< newest thing a person should know that stops nothing
    std::size_t waiting = 0;    ///< frames and rows not yet committed
    std::int64_t free_mb = -1;  ///< of the file system
    std::int64_t used_mb = 0;   ///< by the record
    bool disk_low = false;      ///< less than 256 MB free (judgement, no source)
};

/// A tick: what was read, and what the engine made of it.
struct TickRows {
    Frame frame;
    std::vector<EventRow> events;
    std::vector<RoastRecord> roasts;  ///< whose rows have changed
};

class Recorder {
  public:
    /// Opens or creates, migrates (after a copy is put aside), marks what was interrupted, starts the thread.
    static Result<std::unique_ptr<Recorder>> open(RecorderSettings settings);
    /// Closes the watch, commits what waits (tries for 3 s at most), joins. Callbacks still waiting get
    /// false.
    virtual ~Recorder() = default;

    virtual const RecordFound& found() const = 0;
    virtual void begin_watch(WatchRow watch) = 0;
    /// Goes on with a watch that is in the record; its frames up to `newest` are there.
    virtual void continue_watch(std::uint64_t id, Tick newest) = 0;
    /// Another time of day for the beginning of a watch, once the clock is set. A label.
    virtual void label(std::uint64_t watch, WallTime began) = 0;
    virtual void end_watch() = 0;          ///< cleanly; begin_watch() while one is open does it too
    virtual void busy(bool roasting) = 0;  ///< sets the pace of commits
    virtual void append(const Frame& frame) = 0;
    /// In one commit, so that a start never finds a frame without what was said of it, nor the other way
    /// round.
    virtual void append(TickRows tick) = 0;
    virtual void append(EventRow event) = 0;
    virtual void append(ObservationRow observation) = 0;
    /// `committed(true)` after its commit, `committed(false)` once that failed (it is still kept and tried
    /// again).
    virtual void append(CommandRow command, std::function<void(bool)> committed) = 0;
    /// Of one saying; `committed` as above.
    virtual void append(std::vector<LateFactRow> facts, std::function<void(bool)> committed) = 0;
    virtual void append(CareRow care, std::function<void(bool)> committed) = 0;  ///< `committed` as above
    virtual void append(ProbeRow probe, std::function<void(bool)> committed) = 0;
    /// `then`: once every row that was given before is committed, or a try to do so has failed; at once where
    /// only frames wait, so that whoever asks often makes no more commits.
    virtual void settled(std::function<void()> then) = 0;
    virtual void put(
        RoastRecord roast) = 0;  ///< inserts or replaces by id; a finished one is repacked after its drop
    virtual void put(
        TargetRow target) = 0;  ///< a version once stored never changes; the same bytes again is fine
    virtual RecorderStatus status() const = 0;
};

}  // namespace drumwatch
