// When a watch ends and the next begins on a running daemon, and what it begins with. A watch is cut with an
// empty drum only: from 2 h on at a quiet moment (20 min after the last drop, nothing in the tray), from 4 h
// on already 3 min after it; once somebody has asked for it (a new configuration) at the next such moment.
// Until then it goes on, however long. Judgement, no source. Thread: core.
#pragma once

#include <deque>

#include "engine/engine.hpp"

namespace drumwatch {

class WatchCutter {
  public:
    void add(const Frame& frame);
    /// The next watch is to begin as soon as it may.
    void ask() { asked_ = true; }
    bool due(const Engine& engine, const Begin& begin) const;
    /// What the next watch begins with at `first`; build, settings and labels as in `begin`.
    Begin next(const Begin& begin, const Engine& engine, Tick first);

  private:
    std::deque<Frame> recent_;
    bool asked_ = false;
};

}  // namespace drumwatch
