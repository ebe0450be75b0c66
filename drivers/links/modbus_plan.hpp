// Which registers and discrete inputs are read together.
//
// PURE; any thread. Registers (or bits) of one unit and one table that lie at most kMaxGap apart are read in
// one request of at most 125; a value of two registers is never cut. The group with the machine's time
// register is the last of a poll: a stepped simulator goes on to its next instant once that has been read, so
// all of a poll belongs to one instant.
//
// A gap is a guess, and so is a configuration: a device may refuse registers that it does not have (exception
// 2). A refused group is split, at its widest gap or else in the middle, until the refusal hits only who
// deserves it; so one wrong address never blinds its neighbours.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "drivers/bus.hpp"

namespace drumwatch {

/// Reading eight registers more costs 16 bytes in an answer; one more request costs a round trip (judgement,
/// no source).
inline constexpr std::uint32_t kMaxGap = 8;

/// One value inside a group.
struct ReadItem {
    std::uint32_t address = 0;
    std::uint32_t width = 1;             ///< registers
    std::optional<std::size_t> channel;  ///< index into BusConfig::channels
    std::optional<std::size_t> button;  ///< index into BusConfig::discrete_inputs; neither: the time register
    std::uint32_t end() const { return address + width; }
    bool is_time() const { return !channel && !button; }
};

/// One request. Items are sorted by address; never empty.
struct ReadGroup {
    std::uint8_t unit_id = 1;
    RegisterTable table = RegisterTable::input;
    std::vector<ReadItem> items;
    std::uint16_t address() const;
    std::uint16_t count() const;
    bool has_time() const;
};

/// The unit that holds the time register and the coils of a bus: that of its first Modbus channel, else 1.
std::uint8_t own_unit(const BusConfig& bus);

std::vector<ReadGroup> plan_reads(const BusConfig& bus);

/// Two smaller groups, the one with the time register second; nothing when there is only one item.
std::optional<std::pair<ReadGroup, ReadGroup>> split(const ReadGroup& group);

}  // namespace drumwatch
