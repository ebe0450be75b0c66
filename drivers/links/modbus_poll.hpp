// What polling Modbus is, whatever carries the frames: which registers are read together, what an answer
// means, what is said of units that don't answer. A transport sends one question and brings its answer.
//
// One thread, the bus's own. A refusal of the device (exception) leaves the link up and makes the channels of
// that request a bad reply; exception 2 of a group splits it (modbus_plan.hpp). Where the transport closes
// itself after a fault (TCP), the poll is Link::down. Where it stays open (RTU), a unit that fails is given
// up for this poll: its channels are a bad reply and the others go on; what follows for it is in
// modbus_units.hpp. (Not bus_silent: that is the word for channels whose whole bus is silent, and the bus's
// alarm then speaks for them; a dead unit must sound the probe's.) Link::down only when every unit is silent.
// NaN and infinity are a bad reply, and so is a value that another word order would make plausible
// (swapped_words.hpp).
#pragma once

#include <chrono>
#include <memory>
#include <string>
#include <vector>

#include "drivers/driver.hpp"
#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_plan.hpp"
#include "drivers/links/modbus_units.hpp"

namespace drumwatch {

class ModbusTransport {
  public:
    virtual ~ModbusTransport() = default;
    virtual Result<Done> open() = 0;
    virtual void close() = 0;
    virtual bool is_open() const = 0;
    /// One question and its whole answer within the unit's time-out. What the reply points to lives until the
    /// next call. A transport that can't go on after a fault has closed itself.
    virtual ModbusReply ask(const ModbusQuestion& question, const ModbusUnit& unit) = 0;
    /// Whether nothing that was asked before an opening can be answered after it.
    virtual bool opens_anew() const = 0;
    /// Answers that came too late and were thrown away, since this was asked last.
    virtual std::uint32_t take_late() = 0;
};

class ModbusPoll final : public Driver {
  public:
    /// `timeout` is real time.
    ModbusPoll(const BusConfig& bus, std::chrono::milliseconds timeout,
               std::unique_ptr<ModbusTransport> transport);

    Result<Done> open() override;
    PollOutcome poll() override;
    void close() override { transport_->close(); }
    Result<Done> write_coil(AllowedCoil coil, bool on) override;

  private:
    using Clock = std::chrono::steady_clock;

    PollOutcome down(std::string complaint);
    ModbusUnit& unit(std::uint8_t unit_id);
    ModbusReply ask(const ModbusQuestion& question, ModbusUnit& unit);
    bool in_step(ModbusUnit& unit, PollOutcome& outcome);
    void read_group(std::size_t index, PollOutcome& outcome);
    void broken(const ModbusReply& reply, const ReadGroup& group, PollOutcome& outcome) const;
    void refused(const ReadGroup& group, std::uint8_t exception, PollOutcome& outcome) const;
    void absent(const ReadGroup& group, LinkFault fault, PollOutcome& outcome) const;
    void take_values(const ReadGroup& group, std::span<const std::uint8_t> bytes, PollOutcome& outcome);
    void doubt(const ChannelSource& source, Reading& reading, RawValue& raw, PollOutcome& outcome);
    bool all_answered() const;
    bool all_silent() const;
    void tell_resting(PollOutcome& outcome) const;

    BusConfig bus_;
    std::unique_ptr<ModbusTransport> transport_;
    std::vector<ReadGroup> groups_;
    std::vector<ModbusUnit> units_;
    std::uint8_t own_unit_;
    /// Of each channel: polls for which a suspicion of swapped words still counts.
    static constexpr std::uint8_t kDoubtedPolls = 6;
    std::vector<std::uint8_t> doubted_polls_;
    FaultCounts of_coils_{};                    ///< faults of coil writes, for the next poll to tell
    std::string why_closed_ = "not connected";  ///< so that a poll after a failed coil still says why
};

}  // namespace drumwatch
