// Turns what the engine says into rows of the record. Thread: core.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/clock.hpp"
#include "core/event.hpp"
#include "core/observation.hpp"
#include "core/snapshot.hpp"
#include "record/recorder.hpp"
#include "service/roast_json.hpp"

namespace drumwatch {

class Bookkeeper {
  public:
    Bookkeeper(Recorder& recorder, std::string station, const Clock& clock);

    void begin(const Begin& begin);
    /// The watch goes on: it stood at `last` when its recording broke off, and the next tick is `next`.
    void go_on(const Begin& begin, const Snapshot& last, Tick next);
    /// After each tick: the frame, what happened, and the roast's row where it has changed.
    void tick(const Frame& frame, const Snapshot& now, const std::vector<Event>& events);
    void observed(const Observation& observation);
    /// The wall clock was set: the watch began at `began`, and so its roasts get other times of day.
    void relabel(WallTime began);
    /// A refused command is kept too: run again, it is refused again.
    void told(const Command& command, Refusal refusal, std::function<void(bool)> committed);
    /// A clean stop: a roast in the drum is marked as interrupted.
    void end(const Snapshot& last);

  private:
    void put_roast(const Snapshot& now, RoastState state);
    void put_verdict(const Snapshot& now);
    void put_given_up(const Event& event);
    RoastRecord row(std::uint64_t id, Tick charge, const TargetPtr& target) const;
    WallTime wall_at(Tick tick) const;
    void put(RoastRecord roast);
    void send_changed();

    Recorder& recorder_;
    std::string station_;
    const Clock& clock_;
    std::uint64_t watch_ = 0;
    Tick now_;
    bool busy_ = false;
    std::vector<RoastRecord> changed_;          ///< rows that are not given to the recorder yet
    std::optional<RoastRecord> in_drum_;        ///< the row as it was last put
    Tick first_;                                ///< of the watch
    std::map<std::uint64_t, RoastRecord> put_;  ///< the watch's rows as they stand, by roast
};

}  // namespace drumwatch
