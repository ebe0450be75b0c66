#include "record/queue.hpp"

#include <iterator>
#include <utility>

namespace drumwatch {

void RecordQueue::push_roast(RoastRecord roast) {
    for (Row& row : batch_.rows) {
        if (auto* waits = std::get_if<RoastRecord>(&row); waits != nullptr && waits->id == roast.id) {
            *waits = std::move(roast);
            return;
        }
    }
    push(Row{std::move(roast)});
}

void RecordQueue::push(const WatchFrame& frame) {
    batch_.frames.push_back(frame);
    trim();
}

CommitGroup RecordQueue::take() {
    held_ = batch_.size();
    held_rows_ = batch_.rows.size();
    return std::exchange(batch_, CommitGroup{});
}

void RecordQueue::put_back(CommitGroup batch) {
    done();
    for (Waiting& waiting : batch_.waiting) waiting.row += batch.rows.size();
    std::move(batch_.rows.begin(), batch_.rows.end(), std::back_inserter(batch.rows));
    batch.frames.insert(batch.frames.end(), batch_.frames.begin(), batch_.frames.end());
    batch.waiting = std::move(batch_.waiting);
    batch_ = std::move(batch);
    trim();
}

/// Frames that are being written don't count: they are there or they come back, and then the bound holds
/// again.
void RecordQueue::trim() {
    while (batch_.frames.size() > most_frames_) {
        batch_.frames.pop_front();
        ++lost_;
    }
}

}  // namespace drumwatch
