// The thread that owns a station's sounders and buttons on the box itself: GPIO lines and commands. Edges
// follow the steady clock, whatever the core thread does meanwhile.
//
// Thread: construct, tell, prompt, test and destroy from one thread (the core's); none but the destructor
// waits. The calls come on the sounder thread: they must only post. The core should tell at every tick: when
// it has said nothing for `silence_after_ms`, each output does what its `on_silence` says. A command's start
// waits until the program has taken over: one that lies on a network drive can hold up the lines.
// Construction throws std::system_error when the box has no descriptor or thread left; what is wrong with an
// output or a button is said through `changed`.
#pragma once

#include <cstdint>
#include <memory>

#include "core/alarm.hpp"
#include "sounders/sounder_calls.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

class SounderThread {
  public:
    SounderThread(const SounderSettings& settings, SounderCalls calls);
    /// Everything off, commands ended (at most a second each), joined. No call comes after it.
    ~SounderThread();
    SounderThread(const SounderThread&) = delete;
    SounderThread& operator=(const SounderThread&) = delete;

    /// What the sounders do now, and a number that changes with each alarm that is new: `low`, which plays
    /// once, then plays once more.
    void tell(Pattern pattern, std::uint32_t onset);
    /// A chime, if no alarm's signal plays.
    void prompt();
    /// A short chirp of each output in turn; `tested` is called for each, once. Asked again while it runs, it
    /// goes on.
    void test();

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
