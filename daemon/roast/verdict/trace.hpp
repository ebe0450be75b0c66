// A roast's bean temperatures, one entry a tick: what the verdict is judged on. PURE, one thread; memory is
// taken once.
#pragma once

#include <cstdint>
#include <vector>

#include "core/milli.hpp"
#include "core/tick.hpp"

namespace drumwatch {

struct TraceEntry {
    Tick at;
    bool good = false;  ///< a good reading that is not held over for longer than a second
    float raw_c = 0;    ///< validated
    bool smooth_good = false;
    float smooth_c = 0;
};

class Trace {
  public:
    static constexpr std::size_t kEntries =
        27'000;  ///< 45 minutes at 10 Hz; a longer roast keeps its first part
    Trace() { entries_.reserve(kEntries); }
    void clear() { entries_.clear(); }
    void add(const TraceEntry& entry) {
        if (entries_.size() < kEntries) entries_.push_back(entry);
    }
    const std::vector<TraceEntry>& entries() const { return entries_; }

  private:
    std::vector<TraceEntry> entries_;
};

}  // namespace drumwatch
