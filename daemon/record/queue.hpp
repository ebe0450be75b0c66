// What waits to be written: a bounded queue between the core thread and the recorder thread. Not locked: the
// recorder holds its own mutex. Frames are bounded (the oldest go); rows are few and never go.
#pragma once

#include <cstddef>
#include <deque>
#include <functional>
#include <vector>

#include "core/reading.hpp"
#include "record/row_writer.hpp"

namespace drumwatch {

struct WatchFrame {
    std::uint64_t watch = 0;
    Frame frame;
};

/// Whoever waits for a row of a batch.
struct Waiting {
    std::size_t row = 0;  ///< its place in CommitGroup::rows
    std::function<void(bool)> committed;
};

/// One commit's worth.
struct CommitGroup {
    std::vector<Row> rows;  ///< in order
    std::deque<WatchFrame> frames;
    std::vector<Waiting> waiting;
    std::size_t size() const { return rows.size() + frames.size(); }
};

class RecordQueue {
  public:
    explicit RecordQueue(std::size_t most_frames) : most_frames_(most_frames) {}

    void push(Row row) { batch_.rows.push_back(std::move(row)); }
    /// A roast that waits already is replaced where it stands.
    void push_roast(RoastRecord roast);
    void push(const WatchFrame& frame);
    /// For the newest row, or for all that came before where no row waits.
    void wait_for(std::function<void(bool)> committed) {
        batch_.waiting.push_back({batch_.rows.size() - 1, std::move(committed)});
    }

    /// All that waits; it counts as held until dropped() or put_back().
    CommitGroup take();
    /// The batch is written.
    void done() { held_ = held_rows_ = 0; }
    /// It was not: before what has come since. Frames over the bound go, the oldest first. `batch.waiting`
    /// must be empty.
    void put_back(CommitGroup batch);

    /// Rows that are not written, be it that they wait or that they are being written. Frames don't count.
    bool rows_wait() const { return !batch_.rows.empty() || held_rows_ > 0; }
    bool somebody_waits() const { return !batch_.waiting.empty(); }
    bool filling_up() const { return batch_.frames.size() * 4 > most_frames_; }
    std::size_t size() const { return batch_.size() + held_; }
    std::uint64_t lost() const { return lost_; }
    void count_lost(std::uint64_t frames) { lost_ += frames; }

  private:
    void trim();

    std::size_t most_frames_;
    CommitGroup batch_;
    std::size_t held_ = 0;
    std::size_t held_rows_ = 0;
    std::uint64_t lost_ = 0;
};

}  // namespace drumwatch
