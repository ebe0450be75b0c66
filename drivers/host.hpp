// One bus: its thread, its driver, reconnection with growing pauses, counters, and the coil jobs that pass
// the allow-list.
//
// Thread: construct, request_* and stop from the owner's thread (the core's). Callbacks run on the bus
// thread: they must only post. A request while a poll is running is refused (returns false): a slow device
// never builds up a queue. Nothing is thrown out of here, whatever a driver does.
//
// Reconnection is the host's own affair and goes on without requests: pauses of 0.25 s growing to 1.5 s (real
// time, divided by `speed`, never below 50 ms), back to the first after a poll that found the link up, or
// heard something all the same. A pause ends early only for stop().
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "drivers/bus.hpp"
#include "drivers/driver.hpp"
#include "drivers/link_counters.hpp"

namespace drumwatch {

class BusHost {
  public:
    using PollDone = std::function<void(PollOutcome)>;
    using CoilDone = std::function<void(bool written)>;

    /// Told of every poll that has ended, on the bus thread; must not wait.
    using Witness = std::function<void(const PollOutcome&)>;

    BusHost(BusConfig bus, double speed, Witness witness = {}, ByteTap tap = {});
    ~BusHost();  ///< stops
    BusHost(const BusHost&) = delete;
    BusHost& operator=(const BusHost&) = delete;

    /// False when a poll is still waiting or running, or the host is opening the link or in a reconnect pause
    /// (counters().up tells the two apart: false means that the bus is silent). True: `done` will be called,
    /// once.
    bool request_poll(PollDone done);
    /// Written before the next poll, or as soon as the link is back; the newest value for a coil replaces an
    /// older one that still waits (whose `done` gets false). A coil that is not on the allow-list is never
    /// written: `done(false)`, counted.
    void request_coil(std::uint16_t address, bool on, CoilDone done);
    /// Waits for a running call (bounded by the poll contract), writes the coils that still wait if the link
    /// is up, closes, joins. Every `done` still outstanding is called before it returns. May be called twice.
    void stop();
    /// Both copied under a lock; any thread.
    BusCounters counters() const;
    std::vector<ChannelCounters> channels() const;  ///< in the order of the configuration
    const BusConfig& config() const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
