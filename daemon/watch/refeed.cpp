#include "watch/refeed.hpp"

#include <limits>

namespace drumwatch {

namespace {

/// Tells the engine what came before a frame, once each.
class Telling {
  public:
    Telling(const RecordedWatch& watch, Engine& engine) : watch_(watch), engine_(engine) {}

    void until(Tick tick) {
        for (; command_ < watch_.commands.size() && watch_.commands[command_].tick <= tick; ++command_)
            engine_.apply(watch_.commands[command_]);
        for (; observation_ < watch_.observations.size() && watch_.observations[observation_].tick <= tick;
             ++observation_)
            engine_.observe(watch_.observations[observation_]);
    }

  private:
    const RecordedWatch& watch_;
    Engine& engine_;
    std::size_t command_ = 0;
    std::size_t observation_ = 0;
};

}  // namespace

Engine refeed(const RecordedWatch& watch,
              const std::function<void(const Snapshot&, const std::vector<Event>&)>& seen) {
    Engine engine(watch.begin);
    Telling telling(watch, engine);
    for (const Frame& frame : watch.frames) {
        telling.until(frame.tick);
        const Snapshot& snapshot = engine.step(frame);
        seen(snapshot, engine.take_events());
    }
    telling.until(Tick{std::numeric_limits<std::int64_t>::max()});
    return engine;
}

}  // namespace drumwatch
