#include "drivers/links/modbus_units.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

using std::chrono::milliseconds;

constexpr int kMostDoublings = 2;
constexpr double kShortestTimeout_ms = 50;

milliseconds scaled(std::int64_t simulated_ms, double least_ms, double per_simulated) {
    return milliseconds(std::llround(std::max(least_ms, static_cast<double>(simulated_ms) * per_simulated)));
}

}  // namespace

void ModbusUnit::answered(Clock::time_point now) {
    fault_ = LinkFault::none;
    silences_ = 0;
    not_before_ = {};
    if (has_pause()) ready_at_ = now + pause_;
}

void ModbusUnit::failed(LinkFault fault, Clock::time_point now) {
    fault_ = fault;
    ready_at_ = now + pause_;
    given_up_ = true;
    const bool took_all_its_time = fault == LinkFault::silent || fault == LinkFault::short_answer;
    silences_ = took_all_its_time ? silences_ + 1 : 0;
    if (silences_ < 2) return;
    const auto rest = timeout_ * (1 << std::min(silences_ - 1, kMostDoublings));
    not_before_ = now + std::min<milliseconds>(rest, longest_rest_);
}

std::vector<ModbusUnit> units_of(const BusConfig& bus, const std::vector<ReadGroup>& groups,
                                 milliseconds timeout) {
    const double per_simulated = static_cast<double>(timeout.count()) / static_cast<double>(bus.timeout_ms);
    const milliseconds longest_rest = scaled(ModbusUnit::kLongestRest.count(), 0, per_simulated);
    std::vector<ModbusUnit> units;
    const auto add = [&](std::uint8_t unit_id) {
        const auto same = [&](const auto& unit) { return unit.unit_id() == unit_id; };
        if (std::any_of(units.begin(), units.end(), same)) return;
        const auto own = std::find_if(bus.units.begin(), bus.units.end(),
                                      [&](const BusUnit& unit) { return unit.unit_id == unit_id; });
        if (own == bus.units.end()) {
            units.emplace_back(unit_id, timeout, milliseconds(0), longest_rest);
            return;
        }
        units.emplace_back(
            unit_id, own->timeout_ms ? scaled(*own->timeout_ms, kShortestTimeout_ms, per_simulated) : timeout,
            scaled(own->pause_ms, 0, per_simulated), longest_rest);
    };
    for (const ReadGroup& group : groups) add(group.unit_id);
    add(own_unit(bus));
    return units;
}

ModbusQuestion probe_question(std::uint8_t unit_id, const std::vector<ReadGroup>& groups) {
    RegisterTable table = RegisterTable::holding;
    std::uint32_t address = 0;
    const auto first = std::find_if(groups.begin(), groups.end(), [&](const ReadGroup& group) {
        return group.unit_id == unit_id && group.table != RegisterTable::discrete;
    });
    if (first != groups.end()) {
        table = first->table;
        address = first->address();
    }
    // Registers are told apart by their count, and from discrete inputs by the function.
    const auto taken = [&](std::uint16_t count) {
        return std::any_of(groups.begin(), groups.end(), [&](const ReadGroup& group) {
            return group.unit_id == unit_id && group.table == table && group.count() == count;
        });
    };
    std::uint16_t count = 1;
    while (taken(count)) ++count;
    address = std::min(address, std::uint32_t{65536} - count);
    return read_question(unit_id, table, static_cast<std::uint16_t>(address), count);
}

}  // namespace drumwatch
