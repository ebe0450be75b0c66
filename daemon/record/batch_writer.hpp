// The recorder thread's side of the record: everything that touches the database. Thread: one.
#pragma once

#include <cstdint>
#include <memory>
#include <set>
#include <string>

#include "record/open_record.hpp"
#include "record/queue.hpp"
#include "record/recorder.hpp"
#include "record/seal.hpp"
#include "record/upkeep.hpp"

namespace drumwatch {

/// What one commit did.
struct Outcome {
    bool written = false;
    std::string complaint;               ///< why it was not
    std::string notice;                  ///< empty: none
    std::set<std::size_t> refused_rows;  ///< places in CommitGroup::rows that the database will never take
    std::uint64_t refused_frames = 0;
};

class BatchWriter {
  public:
    static Result<std::unique_ptr<BatchWriter>> make(OpenedRecord opened, const RecorderSettings& settings);
    ~BatchWriter();

    /// All of the batch in one transaction, but for what is refused for good; or nothing.
    Outcome commit(const CommitGroup& batch);
    /// One small piece of work that nobody waits for. True: there may be more. `notice` is left alone unless
    /// there is something to say.
    bool upkeep(bool quiet, std::string& notice);
    std::int64_t used_mb();

    BatchWriter(const BatchWriter&) = delete;
    BatchWriter& operator=(const BatchWriter&) = delete;

  private:
    BatchWriter(OpenedRecord opened, RowWriter rows, const RecorderSettings& settings);
    Result<Done> write_all(const CommitGroup& batch, Outcome& outcome);
    Result<Done> write_frames(const CommitGroup& batch, Outcome& outcome);
    Result<Done> seal_again(Outcome& outcome);
    Result<Done> write_run(std::uint64_t watch, const std::vector<Frame>& run, Outcome& outcome);
    bool refused(const std::string& why, Outcome& outcome);
    std::string complaint_of(const std::string& why) const;
    void note_damage();
    void checkpoint(bool quiet);

    OpenedRecord opened_;
    RowWriter rows_;
    Upkeep upkeep_;
    Sealer sealer_;
    std::string path_;
    bool damaged_ = false;  ///< the newest commit met damage
    int log_pages_ = 0;     ///< in the -wal file after the newest commit
};

}  // namespace drumwatch
