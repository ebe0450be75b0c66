// The frames of Modbus TCP that Drumwatch sends, and what it demands of an answer.
//
// PURE: bytes in, bytes out; any thread. libmodbus makes the connection and receives (modbus_tcp.cpp); the
// frame is ours because the library never looks at the unit identifier of a TCP answer: an answer of unit 7
// to a question to unit 1 came back as a good value (tried with 3.1.6).
//
// Source: MODBUS Application Protocol Specification V1.1b3, sections 6.2 to 6.5 and 7; MODBUS Messaging on
// TCP/IP Implementation Guide V1.0b, section 3.1.3 (header).
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "drivers/bus.hpp"

namespace drumwatch {

/// Header of 7 bytes and 5 of the request: every request that we send has this size.
using ModbusRequest = std::array<std::uint8_t, 12>;

inline constexpr std::uint16_t kMaxRegistersPerRead = 125;  ///< V1.1b3, sections 6.3 and 6.4

/// Function 2, 3 or 4.
ModbusRequest read_request(std::uint16_t transaction, std::uint8_t unit_id, RegisterTable table,
                           std::uint16_t address, std::uint16_t count);
/// Function 5.
ModbusRequest coil_request(std::uint16_t transaction, std::uint8_t unit_id, std::uint16_t address, bool on);

struct ModbusReply {
    enum class Kind : std::uint8_t {
        data,       ///< the answer to our question
        exception,  ///< a refusal in good form: the link is sound
        broken      ///< not the answer to this question: the stream can be believed no longer
    };
    Kind kind = Kind::broken;
    std::uint8_t exception = 0;
    /// Of a read: two bytes a register, high byte first; of discrete inputs a bit each, from the lowest of
    /// the first byte on.
    std::span<const std::uint8_t> values;
    std::string fault;  ///< of a broken one, for a person
};

/// Every field of `reply` against `request`. The span points into `reply`.
ModbusReply check_reply(const ModbusRequest& request, std::span<const std::uint8_t> reply);

/// "illegal data address" and so on; "unknown exception" for a code that the standard does not have.
std::string_view exception_words(std::uint8_t code);

}  // namespace drumwatch
