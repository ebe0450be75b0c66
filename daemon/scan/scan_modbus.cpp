#include "scan/scan_modbus.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "drivers/links/modbus_rtu.hpp"
#include "drivers/links/modbus_tcp.hpp"

namespace drumwatch {
namespace {

constexpr int kBlock = 50;      // registers a question: many devices take no more than some dozens
constexpr int kWordByWord = 8;  // a refused block of no more is read one by one
constexpr int kGiveUp = 3;      // questions in a row without an answer
constexpr int kAlike = 20;      // counts that a noisy measurement may differ by

bool gateway_misses(std::uint8_t exception) { return exception == 10 || exception == 11; }

const char* table_name(RegisterTable table) { return table == RegisterTable::input ? "input" : "holding"; }

}  // namespace

ModbusScanner::ModbusScanner(const BusConfig& bus, std::chrono::milliseconds timeout,
                             const std::atomic<bool>& ended, Progress progress)
    : timeout_(timeout),
      ended_(ended),
      progress_(std::move(progress)),
      transport_(bus.kind == BusKind::modbus_tcp ? make_tcp_transport(bus, timeout)
                                                 : make_rtu_transport(bus)) {}

Result<Done> ModbusScanner::open() { return transport_->open(); }

ModbusScanner::Answer ModbusScanner::ask(std::uint8_t unit_id, RegisterTable table, std::uint16_t address,
                                         std::uint16_t count, Words& into) {
    if (ended_ || (!transport_->is_open() && !transport_->open())) return Answer::nothing;
    const ModbusUnit unit(unit_id, timeout_, std::chrono::milliseconds(0));
    const ModbusReply reply = transport_->ask(read_question(unit_id, table, address, count), unit);
    if (reply.kind == ModbusReply::Kind::broken) {
        noise_ = noise_ || reply.fault == LinkFault::bad_crc || reply.fault == LinkFault::short_answer;
        return Answer::nothing;
    }
    if (reply.kind == ModbusReply::Kind::exception) {
        if (gateway_misses(reply.exception)) return Answer::nothing;
        return reply.exception == 1 ? Answer::no_function : Answer::refused;
    }
    for (std::size_t i = 0; i + 1 < reply.values.size() && i / 2 < count; i += 2)
        into[static_cast<std::uint16_t>(address + i / 2)] =
            static_cast<std::uint16_t>(reply.values[i] << 8U | reply.values[i + 1]);
    return Answer::words;
}

std::vector<std::uint8_t> ModbusScanner::find_units(const std::vector<std::uint8_t>& units,
                                                    std::uint16_t address) {
    std::vector<std::uint8_t> found;
    for (const std::uint8_t unit : units) {
        if (ended_) break;
        progress_(fmt::format("asking unit {}", unit));
        Words words;
        // Some devices are silent where they should refuse a function.
        if (ask(unit, RegisterTable::input, address, 1, words) != Answer::nothing ||
            ask(unit, RegisterTable::holding, address, 1, words) != Answer::nothing)
            found.push_back(unit);
    }
    return found;
}

void ModbusScanner::read_block(std::uint8_t unit_id, RegisterTable table, int first, int last, Words& into) {
    if (first > last || ended_ || unanswered_ >= kGiveUp) return;
    const int count = last - first + 1;
    const Answer answer =
        ask(unit_id, table, static_cast<std::uint16_t>(first), static_cast<std::uint16_t>(count), into);
    unanswered_ = answer == Answer::nothing ? unanswered_ + 1 : 0;
    // Whatever the refusal: some devices fail (exception 4) where an address is missing.
    if (answer == Answer::words || count == 1) return;
    if (count <= kWordByWord) {
        for (int at = first; at <= last; ++at) read_block(unit_id, table, at, at, into);
        return;
    }
    const int middle = first + count / 2;
    read_block(unit_id, table, first, middle - 1, into);
    read_block(unit_id, table, middle, last, into);
}

std::vector<RegisterImage> ModbusScanner::read(std::uint8_t unit_id, ScanRange range) {
    std::vector<RegisterImage> images;
    for (const RegisterTable table : {RegisterTable::input, RegisterTable::holding}) {
        RegisterImage image{unit_id, table, {}, {}};
        unanswered_ = 0;
        Words nothing;
        if (ask(unit_id, table, range.first, 1, nothing) == Answer::no_function) continue;
        for (int at = range.first; at <= range.last; at += kBlock) {
            const int end = std::min(at + kBlock - 1, int{range.last});
            progress_(fmt::format("unit {}: {} registers {} to {}", unit_id, table_name(table), at, end));
            read_block(unit_id, table, at, end, image.first);
        }
        if (!image.first.empty()) images.push_back(std::move(image));
    }
    return images;
}

/// Only what is there, in blocks without a hole.
void ModbusScanner::read_like(std::uint8_t unit_id, RegisterTable table, const Words& map, Words& into) {
    unanswered_ = 0;
    for (auto at = map.begin(); at != map.end();) {
        const int first = at->first;
        int last = first;
        for (++at; at != map.end() && at->first == last + 1 && at->first - first < kBlock; ++at)
            last = at->first;
        read_block(unit_id, table, first, last, into);
    }
}

void ModbusScanner::read_again(RegisterImage& image) {
    read_like(image.unit_id, image.table, image.first, image.second);
}

bool ModbusScanner::shows_same(std::uint8_t unit_id, const RegisterImage& image) {
    Words begin;
    for (const auto& one : image.first)
        if (static_cast<int>(begin.size()) < kBlock) begin.insert(one);
    Words words;
    read_like(unit_id, image.table, begin, words);
    if (words.size() != begin.size()) return false;
    return std::all_of(begin.begin(), begin.end(), [&](const auto& one) {
        return std::abs(int{words.at(one.first)} - int{one.second}) <= kAlike;
    });
}

}  // namespace drumwatch
