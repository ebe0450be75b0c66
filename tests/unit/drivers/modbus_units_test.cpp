// Rest, debt and probe of a unit, in stepped time.
#include "drivers/links/modbus_units.hpp"

#include <doctest/doctest.h>

#include "driver_fixtures.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

using Time = ModbusUnit::Clock::time_point;

std::vector<ReadGroup> groups_of(std::initializer_list<std::uint16_t> counts) {
    std::vector<ReadGroup> groups;
    std::uint32_t address = 100;
    for (const std::uint16_t count : counts) {
        groups.push_back({1, RegisterTable::input, {{address, count, 0, std::nullopt}}});
        address += 1000;
    }
    return groups;
}

}  // namespace

TEST_CASE("a unit that is silent rests longer each time and no answer is forgotten") {
    ModbusUnit unit(1, 150ms, 0ms);
    Time now{};
    unit.failed(LinkFault::silent, now);
    CHECK(unit.owes());
    CHECK(!unit.resting(now));
    for (const auto rest : {300ms, 600ms, 600ms, 600ms}) {
        unit.failed(LinkFault::silent, now);
        CHECK(unit.resting(now + rest - 1ms));
        CHECK(!unit.resting(now + rest));
        now += rest;
    }
    ModbusUnit slow(1, 400ms, 0ms);
    slow.failed(LinkFault::silent, now);
    slow.failed(LinkFault::silent, now);
    CHECK(slow.resting(now + 749ms));
    CHECK(!slow.resting(now + 750ms));
    unit.end_rest();
    CHECK(unit.owes());
    unit.failed(LinkFault::bad_crc, now);  // it talks again
    CHECK(unit.owes());
    CHECK(!unit.resting(now));
    unit.answered(now);
    CHECK(!unit.owes());
    unit.failed(LinkFault::silent, now);
    CHECK(!unit.resting(now));
}

TEST_CASE("the probe's answer has a length that no other answer of the unit has") {
    for (const auto counts : {std::initializer_list<std::uint16_t>{1}, {2}, {8}, {1, 2, 3}, {2, 1, 4}}) {
        const auto groups = groups_of(counts);
        const ModbusQuestion probe = probe_question(1, groups);
        for (const ReadGroup& group : groups) CHECK(probe.last != group.count());
        CHECK(probe.function == 4);
        CHECK(probe.address == 100);
    }
    const std::vector<ReadGroup> last{{1, RegisterTable::holding, {{65535, 1, 0, std::nullopt}}}};
    const ModbusQuestion probe = probe_question(1, last);
    CHECK(probe.address + probe.last <= 65536);
    CHECK(probe.function == 3);
}

TEST_CASE("units have the bus's times or their own, divided by the speed") {
    BusConfig bus = modbus_bus(502, {modbus_channel(0, RegisterTable::input, 0)}, 400);
    ChannelSource other = modbus_channel(1, RegisterTable::input, 0);
    other.modbus->unit_id = 9;
    bus.channels.push_back(other);
    bus.units = {{9, 1000, 60}};
    const auto units = units_of(bus, plan_reads(bus), 100ms);  // four times as fast
    REQUIRE(units.size() == 2);
    CHECK(units[0].unit_id() == 1);
    CHECK(units[0].timeout() == 100ms);
    CHECK(units[1].timeout() == 250ms);
    ModbusUnit silent = units[0];
    silent.failed(LinkFault::silent, Time{});
    silent.failed(LinkFault::silent, Time{});
    CHECK(silent.resting(Time{} + 187ms));  // 750 ms of the simulated station
    CHECK(!silent.resting(Time{} + 189ms));
    ModbusUnit nine = units[1];
    nine.answered(Time{});
    CHECK(nine.ready_at() == Time{} + 15ms);
}
