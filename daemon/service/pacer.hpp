// When ticks happen and when the buses are polled for them. Thread: core; callbacks are called on it.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>

#include "core/tick.hpp"
#include "service/station_clock.hpp"

namespace boost::asio {
class io_context;
}

namespace drumwatch {

struct PacerCalls {
    std::function<void(std::size_t bus)> poll;
    std::function<std::int64_t(std::size_t bus)> lead_us;  ///< real time that its poll needs before the tick
    std::function<void(Tick)> tick;                        ///< every grid instant, none left out
};

/// How long a tick waits for polls that are late: real time, and no more than a quarter of the tick.
inline constexpr std::chrono::microseconds kGrace{10'000};

class Pacer {
  public:
    virtual ~Pacer() = default;
    virtual void start() = 0;
    virtual void stop() = 0;
    /// A poll of that bus has ended, or was refused. `keeps_time`: this bus carries the machine's own time;
    /// then nothing means no answer.
    virtual void polled(std::size_t bus, bool keeps_time, std::optional<std::uint32_t> machine_ms) = 0;
    /// The newest tick and, on a simulated station, how far the machine's own time has gone since the first
    /// answer.
    virtual std::optional<std::int64_t> machine_elapsed_ms() const = 0;
};

/// The clock's time, real or scaled: each bus is polled so that its answer comes just before the tick. Where
/// one is late, the tick waits for it a little (kGrace), so that a moment's delay costs no whole tick. After
/// a stall the missed instants follow at once. `first`: the first tick, later than 0 where a watch goes on.
std::unique_ptr<Pacer> make_clock_pacer(boost::asio::io_context& core, const StationClock& clock,
                                        std::int64_t tick_ms, std::size_t buses, Tick first,
                                        PacerCalls calls);

/// Stepped: the time is the machine's, advanced by each completed poll; the next poll goes out when the tick
/// is done.
std::unique_ptr<Pacer> make_stepped_pacer(boost::asio::io_context& core, std::int64_t tick_ms,
                                          std::size_t buses, Tick first, PacerCalls calls);

}  // namespace drumwatch
