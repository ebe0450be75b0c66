// All buses of a station: polls that end just before their tick, what came back, which bus is silent, buttons
// on discrete inputs, and the coil jobs of sounders and heartbeat. Thread: core, but for the poll callbacks,
// which post.
//
// A sounder's coil is written again every 10 s though nothing has changed: a relay board that started anew
// gets its level back, and one that has gone is noticed before an alarm needs it.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/observation.hpp"
#include "drivers/host.hpp"
#include "service/bus_witness.hpp"
#include "service/latest_readings.hpp"
#include "service/unit_watch.hpp"

namespace drumwatch {

class BusRoom {
  public:
    /// Runs a function on the core thread; safe from any thread.
    using Post = std::function<void(std::function<void()>)>;
    /// A poll has ended: the bus, and the machine's own time where it carries one.
    using Polled = std::function<void(std::size_t bus, std::optional<std::uint32_t> machine_ms)>;

    /// A button on a bus was pressed: it was off at one poll and on at the next.
    using Pressed = std::function<void(std::size_t button)>;

    BusRoom(const Config& config, LatestReadings& latest, Post post, Polled polled, Pressed pressed = {},
            const BusWitness& witness = {});

    /// Before the first poll: no bus has been silent for longer than since this tick. `told_silent`: bits of
    /// those that the engine was told of before a restart.
    void begin(Tick now, std::uint32_t told_silent);
    void poll(std::size_t bus);
    /// Real time before a tick at which the poll of that bus should start, from its newest round trips.
    std::int64_t lead_us(std::size_t bus) const;
    /// Judges which buses are silent now; gives what has changed.
    std::vector<Observation> judge(Tick now);
    std::uint32_t silent_channels() const { return silent_channels_; }

    /// Sets the outputs to what this tick asks for; writes only what differs from what was written last.
    /// `sounders`: bits by index in the configuration; those that are no coils don't matter.
    void drive(Tick now, std::uint32_t sounders);
    /// The level that a sounder's coil is known to have; nothing while a write is not confirmed.
    std::optional<bool> confirmed(std::size_t sounder) const;
    /// Why that coil can't be reached, as the newest judgement has it; empty: it can, or it is no coil.
    const std::string& coil_fault(std::size_t sounder) const { return sounders_[sounder].fault; }
    /// Sounders off, then every bus stopped and joined.
    void stop();

    /// One sentence a silent bus, a unit that does not answer on another one, or a button that can't be read.
    std::vector<std::string> complaints() const;
    /// Of units, what the newest judgement found new: dead, or back.
    const std::vector<std::string>& unit_news() const { return unit_news_; }
    std::vector<std::string> names() const;
    /// Each as its thread has counted it by now.
    struct LinkState {
        std::string bus;
        bool silent = false;
        BusCounters counters;
        std::vector<ChannelCounters> channels;
    };
    std::vector<LinkState> links() const;

  private:
    static constexpr std::size_t kTrips = 16;
    struct Bus {
        std::unique_ptr<BusHost> host;
        UnitWatch units;
        std::uint32_t channels = 0;  ///< bits
        Tick last_good;
        bool answered = false;  ///< since the newest judgement
        int unanswered = 0;     ///< polls asked for since the newest answer
        bool silent = false;
        std::array<std::int64_t, kTrips> trips_us{};  ///< the newest ones, in a ring
        std::size_t next_trip = 0;
    };
    struct Coil {
        std::optional<CoilConfig> where;
        std::optional<bool> written;
        Tick written_at;
        std::optional<bool> asked;
        Tick asked_at;
        int asks = 0;                           ///< only the newest one's answer counts
        std::optional<Tick> unconfirmed_since;  ///< the first ask since the newest confirmation
        std::string complaint;                  ///< of the newest refusal
        std::string fault;
    };
    struct Button {
        std::string name;
        std::optional<std::size_t> bus;
        std::size_t input = 0;
        std::optional<bool> level;  ///< nothing: not known, so that what comes next is no press
        std::string complaint;
    };

    void take(std::size_t bus, const PollOutcome& outcome);
    void take_inputs(std::size_t bus, const PollOutcome& outcome);
    void write(Coil& coil, bool on, Tick now);
    void judge_coils(Tick now);

    LatestReadings& latest_;
    Post post_;
    Polled polled_;
    Pressed pressed_;
    std::vector<Bus> buses_;
    std::vector<Coil> sounders_;  ///< as in the configuration
    std::vector<Button> buttons_;
    Coil heartbeat_;
    std::uint32_t silent_channels_ = 0;
    std::vector<std::string> unit_news_;
};

}  // namespace drumwatch
