#include "drivers/links/modbus_plan.hpp"

#include <doctest/doctest.h>

#include "driver_fixtures.hpp"

using namespace drumwatch;

namespace {

std::string words(const ReadGroup& group) {
    std::string text = group.table == RegisterTable::input ? "input " : "holding ";
    return text + std::to_string(group.unit_id) + ": " + std::to_string(group.address()) + "+" +
           std::to_string(group.count());
}

std::vector<std::string> plan(const BusConfig& bus) {
    std::vector<std::string> result;
    for (const ReadGroup& group : plan_reads(bus)) result.push_back(words(group));
    return result;
}

using List = std::vector<std::string>;
constexpr auto kInput = RegisterTable::input;
constexpr auto kHolding = RegisterTable::holding;

}  // namespace

TEST_CASE("neighbouring registers are one read, whatever the order of the channels") {
    const BusConfig bus = modbus_bus(0, {modbus_channel(0, kInput, 4), modbus_channel(1, kInput, 0),
                                         modbus_channel(2, kInput, 1, DataType::float32)});
    CHECK(plan(bus) == List{"input 1: 0+5"});
}

TEST_CASE("tables and units are never mixed and a wide gap is not read") {
    ChannelSource other = modbus_channel(3, kInput, 1);
    other.modbus->unit_id = 2;
    const BusConfig bus = modbus_bus(0, {modbus_channel(0, kInput, 0), modbus_channel(1, kHolding, 1), other,
                                         modbus_channel(2, kInput, 9), modbus_channel(4, kInput, 19)});
    CHECK(plan(bus) == List{"input 1: 0+10", "input 1: 19+1", "holding 1: 1+1", "input 2: 1+1"});
}

TEST_CASE("a read never has more than 125 registers and never cuts a value") {
    BusConfig bus = modbus_bus(0, {});
    for (std::uint16_t i = 0; i < 16; ++i)
        bus.channels.push_back(modbus_channel(static_cast<std::uint8_t>(i), kInput,
                                              static_cast<std::uint16_t>(9 * i), DataType::float32));
    // 0..1, 9..10, ... 135..136: the fourteenth ends at 118, the fifteenth would end at 127.
    CHECK(plan(bus) == List{"input 1: 0+119", "input 1: 126+11"});
    bus.channels = {modbus_channel(0, kInput, 100), modbus_channel(1, kInput, 108),
                    modbus_channel(2, kInput, 116), modbus_channel(3, kInput, 124, DataType::int32),
                    modbus_channel(4, kInput, 0, DataType::int32)};
    CHECK(plan(bus) == List{"input 1: 0+2", "input 1: 100+26"});
}

TEST_CASE("the time register is read last together with its neighbours") {
    BusConfig bus = modbus_bus(0, {modbus_channel(0, kHolding, 0), modbus_channel(1, kHolding, 1),
                                   modbus_channel(2, kInput, 0), modbus_channel(3, kHolding, 300)});
    bus.time_register = 3;
    CHECK(plan(bus) == List{"input 1: 0+1", "holding 1: 300+1", "holding 1: 0+5"});
    CHECK(plan_reads(bus).back().has_time());
}

TEST_CASE("two channels may share a register") {
    const BusConfig bus = modbus_bus(0, {modbus_channel(0, kInput, 7), modbus_channel(1, kInput, 7),
                                         modbus_channel(2, kInput, 6, DataType::int32)});
    CHECK(plan(bus) == List{"input 1: 6+2"});
}

TEST_CASE("a refused group is split at its widest gap or in the middle until one value is left") {
    BusConfig bus = modbus_bus(0, {modbus_channel(0, kHolding, 0), modbus_channel(1, kHolding, 2),
                                   modbus_channel(2, kHolding, 8), modbus_channel(3, kHolding, 9)});
    bus.time_register = 3;
    const auto halves = split(plan_reads(bus).at(0));
    REQUIRE(halves);
    CHECK(words(halves->first) == "holding 1: 8+2");  // the half with the time comes second
    CHECK(words(halves->second) == "holding 1: 0+5");
    const auto quarters = split(halves->first);
    REQUIRE(quarters);
    CHECK(words(quarters->first) == "holding 1: 8+1");
    CHECK(words(quarters->second) == "holding 1: 9+1");
    CHECK(!split(quarters->first));
}
