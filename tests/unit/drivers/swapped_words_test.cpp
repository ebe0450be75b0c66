// Guessing the right word order from one absurd value.
#include "drivers/links/swapped_words.hpp"

#include <doctest/doctest.h>

#include <bit>
#include <cmath>

#include "driver_fixtures.hpp"

using namespace drumwatch;

namespace {

ChannelSource source(DataType type, WordOrder order = WordOrder::abcd, double scale = 1) {
    ChannelSource channel = modbus_channel(0, RegisterTable::input, 4, type, scale);
    channel.modbus->order = order;
    channel.span_low_milli = -50'000;
    channel.span_high_milli = 1'000'000;
    return channel;
}

}  // namespace

TEST_CASE("words that stand the other way round are noticed and the right order named") {
    // 205.3 is 434D 4CCD, 1.0 is 3F80 0000 (IEEE 754 binary32).
    const ChannelSource channel = source(DataType::float32);
    CHECK(order_meant(channel, 0x434D, 0x4CCD) == std::nullopt);
    CHECK(order_meant(channel, 0x4CCD, 0x434D) == WordOrder::cdab);
    CHECK(order_meant(channel, 0x4D43, 0xCD4C) == WordOrder::badc);
    CHECK(order_meant(channel, 0xCD4C, 0x4D43) == WordOrder::dcba);
    CHECK(order_meant(channel, 0x0000, 0x3F80) == WordOrder::cdab);
    CHECK(order_sentence(channel, 0x0000, 0x3F80, WordOrder::cdab) ==
          "register 4 reads 2.278e-41 as ABCD; as CDAB it would be 1: is \"order\" wrong?");
    CHECK(order_meant(source(DataType::float32, WordOrder::cdab), 0x3F80, 0x0000) == WordOrder::abcd);
    // 2000 tenths in 32 bits.
    CHECK(order_meant(source(DataType::int32, WordOrder::abcd, 0.1), 0x07D0, 0x0000) == WordOrder::cdab);
}

TEST_CASE("what is plausible or hopeless in every order is left alone") {
    const ChannelSource channel = source(DataType::float32);
    CHECK(order_meant(channel, 0x0000, 0x0000) == std::nullopt);  // 0 is a number
    CHECK(order_meant(channel, 0x7FC0, 0x0000) == std::nullopt);  // what devices send for an open probe
    CHECK(order_meant(channel, 0xFF80, 0x0000) == std::nullopt);
    CHECK(order_meant(channel, 0xFFFF, 0xFFFF) == std::nullopt);
    CHECK(order_meant(channel, 0x4496, 0x0000) == std::nullopt);  // 1200: really outside the span
    CHECK(order_meant(source(DataType::int32, WordOrder::abcd, 0.1), 0x0000, 0x07D0) == std::nullopt);
}

TEST_CASE("of temperatures in tenths a wrong order is noticed in three of four") {
    int noticed = 0;
    for (int tenths = 1; tenths <= 3000; ++tenths) {
        const auto bits = std::bit_cast<std::uint32_t>(static_cast<float>(tenths) / 10);
        const auto high = static_cast<std::uint16_t>(bits >> 16U);
        const auto low = static_cast<std::uint16_t>(bits & 0xFFFFU);
        CHECK(order_meant(source(DataType::float32), high, low) == std::nullopt);
        if (order_meant(source(DataType::float32), low, high)) ++noticed;
    }
    CHECK(noticed > 2250);  // the rest reads as a small number, which a device may measure
}
