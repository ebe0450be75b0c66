// The frames of Modbus TCP and RTU that Drumwatch sends, and what it demands of an answer.
//
// PURE: bytes in, bytes out; any thread; no allocation. libmodbus makes the connection or opens the port; the
// frames are ours because the library never looks at the unit identifier of a TCP answer (an answer of unit 7
// to a question to unit 1 came back as a good value, tried with 3.1.6) and does not tell a silent device from
// one that stops half-way.
//
// Source: MODBUS Application Protocol Specification V1.1b3, sections 6.2 to 6.5 and 7; MODBUS Messaging on
// TCP/IP Implementation Guide V1.0b, section 3.1.3 (header); MODBUS over Serial Line V1.02, sections 2.5.1
// (frame, silence) and 6.2.2 (CRC).
#pragma once

#include <array>
#include <chrono>
#include <cstdint>
#include <span>
#include <string_view>

#include "drivers/bus.hpp"
#include "drivers/link_fault.hpp"

namespace drumwatch {

inline constexpr std::uint16_t kMaxRegistersPerRead = 125;  ///< V1.1b3, sections 6.3 and 6.4
inline constexpr std::size_t kMaxModbusFrame = 260;         ///< of TCP; RTU has 256

/// What is asked of a unit, whatever carries it.
struct ModbusQuestion {
    std::uint8_t unit_id = 1;
    std::uint8_t function = 4;
    std::uint16_t address = 0;
    std::uint16_t last = 1;  ///< how many, or the coil's new value
};

/// Function 2, 3 or 4.
ModbusQuestion read_question(std::uint8_t unit_id, RegisterTable table, std::uint16_t address,
                             std::uint16_t count);
/// Function 5.
ModbusQuestion coil_question(std::uint8_t unit_id, std::uint16_t address, bool on);

using TcpRequest = std::array<std::uint8_t, 12>;
using RtuRequest = std::array<std::uint8_t, 8>;
TcpRequest tcp_request(std::uint16_t transaction, const ModbusQuestion& question);
RtuRequest rtu_request(const ModbusQuestion& question);

struct ModbusReply {
    enum class Kind : std::uint8_t {
        data,       ///< the answer to our question
        exception,  ///< a refusal in good form: the link is sound
        broken      ///< not the answer to this question
    };
    Kind kind = Kind::broken;
    std::uint8_t exception = 0;
    /// Of a read: two bytes a register, high byte first; of discrete inputs a bit each, from the lowest of
    /// the first byte on.
    std::span<const std::uint8_t> values{};
    LinkFault fault = LinkFault::none;  ///< unless it is data
    std::string_view why{};             ///< of a broken one, for a person
};

/// Every field of `reply` against the question. The span points into `reply`.
ModbusReply check_tcp_reply(std::uint16_t transaction, const ModbusQuestion& question,
                            std::span<const std::uint8_t> reply);
ModbusReply check_rtu_reply(const ModbusQuestion& question, std::span<const std::uint8_t> reply);

/// How long an answer is in all that begins like this: that of the right answer as long as nothing else can
/// be told, and so_far's own size where the rest can't matter. Never 0, never more than kMaxModbusFrame.
std::size_t tcp_reply_length(const ModbusQuestion& question, std::span<const std::uint8_t> so_far);
std::size_t rtu_reply_length(const ModbusQuestion& question, std::span<const std::uint8_t> so_far);

/// CRC-16 of the serial line: polynomial 8005h reflected, start FFFFh. Sent low byte first.
std::uint16_t crc16(std::span<const std::uint8_t> bytes);

/// The least silence between two frames: 3.5 characters of 11 bits, above 19200 baud 1.75 ms (V1.02, section
/// 2.5.1.1).
std::chrono::microseconds frame_silence(std::uint32_t baud);
/// What so many bytes take on the wire, at 11 bits each.
std::chrono::microseconds wire_time(std::uint32_t baud, std::size_t bytes);

/// "illegal data address" and so on; "unknown exception" for a code that the standard does not have.
std::string_view exception_words(std::uint8_t code);

}  // namespace drumwatch
