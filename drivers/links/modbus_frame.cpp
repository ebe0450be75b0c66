#include "drivers/links/modbus_frame.hpp"

#include <algorithm>

namespace drumwatch {
namespace {

// Places in a frame of TCP: header (transaction 0-1, protocol 2-3, length 4-5, unit 6), then the function
// code. In RTU the unit is the first byte and a CRC of two comes last.
constexpr std::size_t kTcpUnit = 6;
constexpr std::size_t kTcpShortest = 9;  ///< a refusal
constexpr std::size_t kRtuShortest = 5;
constexpr std::size_t kCrcBytes = 2;
constexpr std::size_t kMaxRtuFrame = 256;
constexpr std::uint8_t kReadDiscrete = 2;
constexpr std::uint8_t kWriteCoil = 5;
constexpr std::uint8_t kExceptionBit = 0x80;

constexpr std::uint8_t high(std::uint16_t word) { return static_cast<std::uint8_t>(word >> 8U); }
constexpr std::uint8_t low(std::uint16_t word) { return static_cast<std::uint8_t>(word & 0xFFU); }
constexpr std::size_t word_at(std::span<const std::uint8_t> bytes, std::size_t at) {
    return static_cast<std::size_t>(bytes[at]) << 8U | bytes[at + 1];
}

std::uint8_t read_function(RegisterTable table) {
    switch (table) {
        case RegisterTable::discrete:
            return kReadDiscrete;
        case RegisterTable::holding:
            return 3;
        case RegisterTable::input:
            return 4;
    }
    return 4;
}

constexpr bool is_read(std::uint8_t function) { return function >= 1 && function <= 4; }

/// Bytes of values in the right answer to a read.
std::size_t value_bytes(const ModbusQuestion& question) {
    const std::size_t count = question.last;
    return question.function == kReadDiscrete ? (count + 7) / 8 : 2 * count;
}

/// Unit, function and data of the right answer.
std::size_t right_size(const ModbusQuestion& question) {
    return question.function == kWriteCoil ? 6 : 3 + value_bytes(question);
}

ModbusReply broken(LinkFault fault, std::string_view why) {
    return {ModbusReply::Kind::broken, 0, {}, fault, why};
}

/// From the unit on, without a CRC.
ModbusReply check_body(const ModbusQuestion& question, std::span<const std::uint8_t> body) {
    if (body[0] != question.unit_id)
        return broken(LinkFault::wrong_unit, "the device sent an answer from another unit");
    if ((body[1] & ~kExceptionBit) != question.function)
        return broken(LinkFault::wrong_function, "the device sent the answer to another function");
    if ((body[1] & kExceptionBit) != 0) {
        if (body.size() != 3)
            return broken(LinkFault::wrong_length, "the device sent a refusal with a wrong length");
        return {ModbusReply::Kind::exception, body[2], {}, LinkFault::exception, {}};
    }
    if (question.function == kWriteCoil) {
        const std::array<std::uint8_t, 4> echo{high(question.address), low(question.address),
                                               high(question.last), low(question.last)};
        if (!std::equal(echo.begin(), echo.end(), body.begin() + 2, body.end()))
            return broken(LinkFault::wrong_length,
                          "the device sent an echo that differs from what was written");
        return {ModbusReply::Kind::data, 0, {}, LinkFault::none, {}};
    }
    const std::size_t bytes = value_bytes(question);
    if (body[2] != bytes || body.size() != 3 + bytes)
        return broken(LinkFault::wrong_length, question.function == kReadDiscrete
                                                   ? "the device sent a wrong number of discrete inputs"
                                                   : "the device sent a wrong number of registers");
    return {ModbusReply::Kind::data, 0, body.subspan(3), LinkFault::none, {}};
}

constexpr auto kCrcTable = [] {
    std::array<std::uint16_t, 256> table{};
    for (unsigned byte = 0; byte < table.size(); ++byte) {
        unsigned crc = byte;
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? (crc >> 1U) ^ 0xA001U : crc >> 1U;
        table[byte] = static_cast<std::uint16_t>(crc);
    }
    return table;
}();

}  // namespace

ModbusQuestion read_question(std::uint8_t unit_id, RegisterTable table, std::uint16_t address,
                             std::uint16_t count) {
    return {unit_id, read_function(table), address, count};
}

ModbusQuestion coil_question(std::uint8_t unit_id, std::uint16_t address, bool on) {
    return {unit_id, kWriteCoil, address, static_cast<std::uint16_t>(on ? 0xFF00 : 0x0000)};
}

TcpRequest tcp_request(std::uint16_t transaction, const ModbusQuestion& question) {
    return {high(transaction),
            low(transaction),
            0,
            0,
            0,
            6,
            question.unit_id,
            question.function,
            high(question.address),
            low(question.address),
            high(question.last),
            low(question.last)};
}

RtuRequest rtu_request(const ModbusQuestion& question) {
    RtuRequest frame{question.unit_id,      question.function,   high(question.address),
                     low(question.address), high(question.last), low(question.last)};
    const std::uint16_t crc = crc16(std::span(frame).first(frame.size() - kCrcBytes));
    frame[6] = low(crc);
    frame[7] = high(crc);
    return frame;
}

ModbusReply check_tcp_reply(std::uint16_t transaction, const ModbusQuestion& question,
                            std::span<const std::uint8_t> reply) {
    if (reply.size() < kTcpShortest)
        return broken(LinkFault::short_answer, "the device sent an answer that is too short");
    if (word_at(reply, 0) != transaction)
        return broken(LinkFault::wrong_question, "the device sent the answer to another question");
    if (word_at(reply, 2) != 0)
        return broken(LinkFault::wrong_question, "the device sent an answer of another protocol");
    if (word_at(reply, 4) + kTcpUnit != reply.size())
        return broken(LinkFault::wrong_length, "the device sent an answer with a wrong length");
    return check_body(question, reply.subspan(kTcpUnit));
}

ModbusReply check_rtu_reply(const ModbusQuestion& question, std::span<const std::uint8_t> reply) {
    if (reply.size() < kRtuShortest)
        return broken(LinkFault::short_answer, "the device sent an answer that is too short");
    if (crc16(reply) != 0)  // over a whole frame, its own CRC included
        return broken(LinkFault::bad_crc, "the device sent an answer with a wrong checksum (CRC)");
    return check_body(question, reply.first(reply.size() - kCrcBytes));
}

std::size_t tcp_reply_length(const ModbusQuestion& question, std::span<const std::uint8_t> so_far) {
    if (so_far.size() < kTcpShortest) return kTcpUnit + right_size(question);
    const std::size_t body = word_at(so_far, 4);
    const std::uint8_t function = so_far[kTcpUnit + 1];
    const bool strange = body + kTcpUnit < kTcpShortest || body + kTcpUnit > kMaxModbusFrame;
    // A byte count that contradicts the header: waiting for either would only lose time.
    const bool torn = is_read(function) && 3U + so_far[kTcpUnit + 2] != body;
    return strange || torn ? so_far.size() : kTcpUnit + body;
}

std::size_t rtu_reply_length(const ModbusQuestion& question, std::span<const std::uint8_t> so_far) {
    const std::size_t right = right_size(question) + kCrcBytes;
    if (so_far.size() < 3) return right;
    const std::uint8_t function = so_far[1];
    if ((function & kExceptionBit) != 0) return kRtuShortest;
    if (is_read(function)) return std::min(3 + so_far[2] + kCrcBytes, kMaxRtuFrame);
    if (function == kWriteCoil) return 8;
    return std::max(so_far.size(), kRtuShortest);  // nothing that was ever asked
}

std::uint16_t crc16(std::span<const std::uint8_t> bytes) {
    unsigned crc = 0xFFFF;
    for (const std::uint8_t byte : bytes) crc = (crc >> 8U) ^ kCrcTable[(crc ^ byte) & 0xFFU];
    return static_cast<std::uint16_t>(crc);
}

std::chrono::microseconds frame_silence(std::uint32_t baud) {
    if (baud > 19200) return std::chrono::microseconds(1750);
    return std::chrono::microseconds((77 * 500'000 + baud - 1) / baud);  // 3.5 * 11 bits
}

std::chrono::microseconds wire_time(std::uint32_t baud, std::size_t bytes) {
    return std::chrono::microseconds(static_cast<std::int64_t>(bytes) * 11'000'000 / baud);
}

std::string_view exception_words(std::uint8_t code) {
    switch (code) {
        case 1:
            return "illegal function";
        case 2:
            return "illegal data address";
        case 3:
            return "illegal data value";
        case 4:
            return "server device failure";
        case 5:
            return "acknowledged, takes long";
        case 6:
            return "server device busy";
        case 8:
            return "memory parity error";
        case 10:
            return "gateway path unavailable";
        case 11:
            return "gateway target device failed to respond";
        default:
            return "unknown exception";
    }
}

}  // namespace drumwatch
