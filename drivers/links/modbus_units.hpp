// The units of one Modbus bus: how long each may take, and how often one that does not answer is asked.
//
// PURE; one thread; time is handed in.
//
// A unit that missed answers is asked less often, so that its time-outs don't eat the time of the others: not
// at all for 2, then 4 times its time-out after the second, third ... miss in a row, at most kLongestRest but
// at least its time-out (judgement, no source: a unit that is back is heard again within 2 s, and a dead one
// takes little of the bus's time). After one miss it is asked again at once.
//
// On a line without numbers of questions (RTU) a late answer looks like the answer to the next question. So a
// unit that owes an answer is out of step: the next question to it is one whose answer has a length that no
// other of its answers has (the `probe`), and values are believed again only once the probe was answered. A
// device answers in the order it was asked, so everything older has then come or never will.
#pragma once

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <vector>

#include "drivers/bus.hpp"
#include "drivers/link_fault.hpp"
#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_plan.hpp"

namespace drumwatch {

class ModbusUnit {
  public:
    using Clock = std::chrono::steady_clock;

    /// Simulated time. With two time-outs of others a unit is back within two seconds.
    static constexpr std::chrono::milliseconds kLongestRest{750};

    /// All in real time.
    ModbusUnit(std::uint8_t unit_id, std::chrono::milliseconds timeout, std::chrono::milliseconds pause,
               std::chrono::milliseconds longest_rest = kLongestRest)
        : unit_id_(unit_id),
          timeout_(timeout),
          pause_(pause),
          longest_rest_(std::max(timeout, longest_rest)) {}

    std::uint8_t unit_id() const { return unit_id_; }
    std::chrono::milliseconds timeout() const { return timeout_; }
    bool owes() const { return fault_ != LinkFault::none; }
    /// What went wrong last, until an answer; none when all is well.
    LinkFault fault() const { return fault_; }
    bool resting(Clock::time_point now) const { return now < not_before_; }
    Clock::time_point not_before() const { return not_before_; }  ///< end of its rest
    Clock::time_point ready_at() const { return ready_at_; }      ///< end of its pause after an answer
    bool has_pause() const { return pause_.count() > 0; }
    void begin_poll() { given_up_ = false; }
    bool given_up() const { return given_up_; }  ///< it failed in this poll

    /// It answered, be it with a refusal. `now` matters only to a unit that has a pause.
    void answered(Clock::time_point now);
    void failed(LinkFault fault, Clock::time_point now);
    /// A new opening of the link asks everybody at once; what is owed stays owed.
    void end_rest() { not_before_ = {}; }
    /// What it owes can't come any more.
    void forget() { fault_ = LinkFault::none; }

  private:
    std::uint8_t unit_id_;
    std::chrono::milliseconds timeout_;
    std::chrono::milliseconds pause_;
    std::chrono::milliseconds longest_rest_;
    LinkFault fault_ = LinkFault::none;
    bool given_up_ = false;
    int silences_ = 0;  ///< in a row
    Clock::time_point not_before_{};
    Clock::time_point ready_at_{};
};

/// Of every unit in the plan, in the plan's order, and of the unit that has the coils. `timeout` is the bus's
/// in real time; the units' own times are divided by the same speed.
std::vector<ModbusUnit> units_of(const BusConfig& bus, const std::vector<ReadGroup>& groups,
                                 std::chrono::milliseconds timeout);

/// The question that brings a unit back into step: a read with a count that none of its groups has.
ModbusQuestion probe_question(std::uint8_t unit_id, const std::vector<ReadGroup>& groups);

}  // namespace drumwatch
