#include "watch/refeed.hpp"

#include <limits>
#include <utility>

namespace drumwatch {

void Refeeder::tell_until(Tick tick) {
    for (; command_ < watch_.commands.size() && watch_.commands[command_].tick <= tick; ++command_)
        engine_.apply(watch_.commands[command_]);
    for (; observation_ < watch_.observations.size() && watch_.observations[observation_].tick <= tick;
         ++observation_)
        engine_.observe(watch_.observations[observation_]);
}

const Snapshot& Refeeder::step() {
    const Frame& frame = watch_.frames[frame_++];
    tell_until(frame.tick);
    return engine_.step(frame);
}

Engine Refeeder::end() && {
    tell_until(Tick{std::numeric_limits<std::int64_t>::max()});
    return std::move(engine_);
}

Engine refeed(const RecordedWatch& watch,
              const std::function<void(const Snapshot&, const std::vector<Event>&)>& seen) {
    Refeeder feeder(watch);
    while (!feeder.done()) {
        const Snapshot& snapshot = feeder.step();
        seen(snapshot, feeder.take_events());
    }
    return std::move(feeder).end();
}

}  // namespace drumwatch
