// Reads the next roast files on a thread of its own while the engine runs the one before: unpacking and
// parsing take about as long as running. In order, a few files ahead, never more.
//
// Thread: one consumer. `target` must outlive the object. Failure: a file that can't be read comes as its
// sentence.
#pragma once

#include <condition_variable>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "backtest/roast_check.hpp"

namespace drumwatch {

struct ReadRoast {
    std::string path;
    Result<RoastFile> file;
    FileFacts facts;  ///< empty where the file could not be read
};

class ReadAhead {
  public:
    ReadAhead(std::vector<std::string> paths, const TargetCurve* target);
    ~ReadAhead();
    ReadAhead(const ReadAhead&) = delete;
    ReadAhead& operator=(const ReadAhead&) = delete;

    /// Waits for it; nothing after the last.
    std::optional<ReadRoast> next();

  private:
    void run();
    bool hand_over(ReadRoast roast);

    const std::vector<std::string> paths_;
    const TargetCurve* target_;
    std::mutex mutex_;
    std::condition_variable changed_;
    std::deque<ReadRoast> read_;
    bool all_read_ = false;
    bool stopping_ = false;
    std::thread thread_;  // last: it uses the others
};

}  // namespace drumwatch
