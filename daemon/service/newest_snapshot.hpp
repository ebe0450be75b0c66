// The snapshot that is the newest, for a thread that wants to know what was true when something happened
// there. Any thread.
#pragma once

#include <memory>
#include <mutex>
#include <utility>

#include "core/snapshot.hpp"

namespace drumwatch {

class NewestSnapshot {
  public:
    void put(std::shared_ptr<const Snapshot> snapshot) {
        const std::lock_guard lock(mutex_);
        newest_.swap(snapshot);
    }
    /// Null before the first.
    std::shared_ptr<const Snapshot> get() const {
        const std::lock_guard lock(mutex_);
        return newest_;
    }

  private:
    mutable std::mutex mutex_;
    std::shared_ptr<const Snapshot> newest_;
};

}  // namespace drumwatch
