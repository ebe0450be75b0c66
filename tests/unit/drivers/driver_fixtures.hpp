// Short ways to write a bus in a test.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <utility>

#include "drivers/bus.hpp"
#include "drivers/links/text_line.hpp"
#include "support/raw_server.hpp"

namespace drumwatch {

inline ChannelSource modbus_channel(std::uint8_t index, RegisterTable table, std::uint16_t address,
                                    DataType type = DataType::int16, double scale = 1) {
    ChannelSource channel;
    channel.channel = index;
    channel.modbus = ModbusSource{table, address, 1, type, WordOrder::abcd, std::nullopt};
    channel.scale = scale;
    return channel;
}

inline ChannelSource text_channel(std::uint8_t index, int field, std::string open_text = {}) {
    ChannelSource channel;
    channel.channel = index;
    channel.text = TextSource{field, std::move(open_text)};
    return channel;
}

/// What that channel reads of a line with commas.
inline Reading reading_of(const ChannelSource& channel, std::string_view line) {
    const BusConfig bus;
    return read_text(channel, bus, open_line(bus, line)).reading;
}

inline BusConfig modbus_bus(std::uint16_t port, std::vector<ChannelSource> channels,
                            std::int64_t timeout_ms = 2000) {
    BusConfig bus;
    bus.name = "machine";
    bus.kind = BusKind::modbus_tcp;
    bus.host = "127.0.0.1";
    bus.port = port;
    bus.timeout_ms = timeout_ms;
    bus.channels = std::move(channels);
    return bus;
}

/// The right answer to a read request, `value` in every register; an echo for anything else.
inline Bytes good_answer(const Bytes& request, std::uint16_t value) {
    if (request[7] != 3 && request[7] != 4) return request;
    const std::size_t registers = static_cast<std::size_t>(request[10]) << 8U | request[11];
    Bytes answer{request[0], request[1], 0, 0, 0, 0, request[6], request[7]};
    answer.push_back(static_cast<std::uint8_t>(2 * registers));
    for (std::size_t i = 0; i < registers; ++i) {
        answer.push_back(static_cast<std::uint8_t>(value >> 8U));
        answer.push_back(static_cast<std::uint8_t>(value & 0xFFU));
    }
    answer[5] = static_cast<std::uint8_t>(answer.size() - 6);
    return answer;
}

inline Bytes refusal(const Bytes& request, std::uint8_t exception) {
    return {request[0], request[1], 0, 0, 0, 3, request[6], static_cast<std::uint8_t>(request[7] | 0x80U),
            exception};
}

}  // namespace drumwatch
