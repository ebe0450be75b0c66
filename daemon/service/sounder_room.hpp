// All sounders and lights of a station, on buses and on the box: what they do at each tick, which of them
// can't be reached, and their tests. Thread: core, but for `pressed`.
//
// A sounder fails where its output can't be reached and where its newest test did not pass; it works again
// once it is reached. Each goes on whatever becomes of the others.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "alarms/prompt_chimes.hpp"
#include "config/config.hpp"
#include "core/clock.hpp"
#include "core/event.hpp"
#include "core/observation.hpp"
#include "core/snapshot.hpp"
#include "service/bus_room.hpp"
#include "service/coil_tests.hpp"
#include "service/sounder_schedule.hpp"
#include "sounders/sounder_thread.hpp"
#include "web/api.hpp"

namespace drumwatch {

class SounderRoom {
  public:
    /// A button of the box was pressed: its index in the configuration. Called on the sounder thread; it must
    /// only post, and not throw.
    using Pressed = std::function<void(std::size_t button)>;

    /// `buses` and `clock` must outlive it. Throws as SounderThread does.
    SounderRoom(const Config& config, BusRoom& buses, const Clock& clock, BusRoom::Post post,
                Pressed pressed);

    /// What the engine was told already, where it goes on: bits of failed sounders.
    void stands(std::uint32_t failed) { told_failed_ = failed; }
    /// Before the engine's step and after the buses were judged: what has changed, and results of tests.
    std::vector<Observation> judge(Tick now);
    /// After it: what this tick asks of every output.
    void drive(const Snapshot& now);
    /// A short chirp of each in turn, asked for by `who`. Refused (409): no sounder, or an alarm sounds.
    CommandAnswer test(const Snapshot& now, const std::string& who);
    /// Why that sounder does not work; empty: it does.
    std::string why(std::size_t sounder) const;
    /// The same of the sounder that an event speaks of; empty where it speaks of none.
    std::string fault_of(const Event& event) const;
    std::vector<SounderState> states() const;
    /// A sentence for each button of the box that can't be read.
    std::vector<std::string> complaints() const;
    /// The outputs of the box off; those on a bus are off with it.
    void stop() { thread_.reset(); }

  private:
    struct Sounder {
        const SounderConfig* config = nullptr;
        std::string fault;       ///< of the box's output, as its thread has said
        std::string not_passed;  ///< why its newest test failed
        std::optional<WallTime> tested_at;
    };

    void start_thread(const Config& config, Pressed pressed);
    void note(const SounderNews& news);
    void note(const SounderTest& test);
    void finish_test(std::size_t sounder, bool passed, const std::string& why);
    void look_at_schedule(const Snapshot& now);
    void begin_tests(Tick now);
    void go_on_testing(const Snapshot& now);

    BusRoom& buses_;
    const Clock& clock_;
    BusRoom::Post post_;
    std::vector<SounderConfig> configs_;
    std::vector<Sounder> sounders_;                      ///< as in the configuration
    std::vector<std::size_t> outputs_;                   ///< of the thread: which sounder
    std::vector<std::size_t> inputs_;                    ///< of the thread: which button
    std::vector<std::string> button_faults_;             ///< as inputs_
    std::uint32_t told_failed_ = 0;                      ///< bits
    std::vector<std::pair<std::size_t, bool>> results_;  ///< sounder, passed: not told yet
    SounderSchedule schedule_;
    bool keeps_days_;  ///< false on a stepped station: the wall clock means nothing there
    CoilTests tests_;
    bool thread_waits_ = false;  ///< its test comes when the coils' has ended
    std::uint32_t onset_ = 0;    ///< the newest alarm's number so far
    PromptChimes chimes_;
    bool chimes_prompts_;
    std::unique_ptr<SounderThread> thread_;  ///< nothing where the box has neither outputs nor buttons
};

}  // namespace drumwatch
