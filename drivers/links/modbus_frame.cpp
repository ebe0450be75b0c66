#include "drivers/links/modbus_frame.hpp"

#include <algorithm>

namespace drumwatch {
namespace {

// Places in a frame: header (transaction 0-1, protocol 2-3, length 4-5, unit 6), then the function code.
constexpr std::size_t kUnit = 6;
constexpr std::size_t kFunction = 7;
constexpr std::size_t kCount = 10;  ///< of a read request
constexpr std::size_t kByteCount = 8;
constexpr std::size_t kData = 9;
constexpr std::uint8_t kReadDiscrete = 2;
constexpr std::uint8_t kWriteCoil = 5;
constexpr std::uint8_t kExceptionBit = 0x80;

constexpr std::uint8_t high(std::uint16_t word) { return static_cast<std::uint8_t>(word >> 8U); }
constexpr std::uint8_t low(std::uint16_t word) { return static_cast<std::uint8_t>(word & 0xFFU); }
constexpr std::size_t word_at(std::span<const std::uint8_t> bytes, std::size_t at) {
    return static_cast<std::size_t>(bytes[at]) << 8U | bytes[at + 1];
}

ModbusRequest request_of(std::uint16_t transaction, std::uint8_t unit_id, std::uint8_t function,
                         std::uint16_t address, std::uint16_t last) {
    return {high(transaction), low(transaction), 0,          0,        0, 6, unit_id, function,
            high(address),     low(address),     high(last), low(last)};
}

/// What is wrong with the header; empty when nothing is.
std::string_view header_fault(const ModbusRequest& request, std::span<const std::uint8_t> reply) {
    if (reply.size() < kData) return "an answer that is too short";
    if (!std::equal(request.begin(), request.begin() + 2, reply.begin()))
        return "the answer to another question";
    if (word_at(reply, 2) != 0) return "an answer of another protocol";
    if (word_at(reply, 4) + kUnit != reply.size()) return "an answer with a wrong length";
    if (reply[kUnit] != request[kUnit]) return "an answer from another unit";
    if ((reply[kFunction] & ~kExceptionBit) != request[kFunction]) return "the answer to another function";
    return {};
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

ModbusReply broken(std::string_view fault) {
    return {ModbusReply::Kind::broken, 0, {}, "the device sent " + std::string(fault)};
}

}  // namespace

ModbusRequest read_request(std::uint16_t transaction, std::uint8_t unit_id, RegisterTable table,
                           std::uint16_t address, std::uint16_t count) {
    return request_of(transaction, unit_id, read_function(table), address, count);
}

ModbusRequest coil_request(std::uint16_t transaction, std::uint8_t unit_id, std::uint16_t address, bool on) {
    return request_of(transaction, unit_id, kWriteCoil, address, on ? 0xFF00 : 0x0000);
}

ModbusReply check_reply(const ModbusRequest& request, std::span<const std::uint8_t> reply) {
    if (const std::string_view fault = header_fault(request, reply); !fault.empty()) return broken(fault);
    if ((reply[kFunction] & kExceptionBit) != 0) {
        if (reply.size() != kData) return broken("a refusal with a wrong length");
        return {ModbusReply::Kind::exception, reply[kByteCount], {}, {}};
    }
    if (request[kFunction] == kWriteCoil) {
        if (!std::equal(request.begin(), request.end(), reply.begin(), reply.end()))
            return broken("an echo that differs from what was written");
        return {ModbusReply::Kind::data, 0, {}, {}};
    }
    const std::size_t count = word_at(request, kCount);
    const std::size_t bytes = request[kFunction] == kReadDiscrete ? (count + 7) / 8 : 2 * count;
    if (reply[kByteCount] != bytes || reply.size() != kData + bytes)
        return broken(request[kFunction] == kReadDiscrete ? "a wrong number of discrete inputs"
                                                          : "a wrong number of registers");
    return {ModbusReply::Kind::data, 0, reply.subspan(kData), {}};
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
