// Any bytes from a serial device: lines and readings. A value is good only on a line that is right as a
// whole, comes from its own field alone, and is the same however the stream is cut.
//
// The first six bytes choose the description: delimiter, decimals and checksum, number of fields, field, key
// and suffix.
#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/links/line_buffer.hpp"
#include "drivers/links/text_line.hpp"

using namespace drumwatch;

namespace {

void demand(bool right) {
    if (!right) std::abort();
}

BusConfig bus_of(const std::uint8_t* choice) {
    constexpr char kDelimiters[] = {',', ';', '\t', ' ', '|'};
    constexpr const char* kKeys[] = {"", "bean", "a"};
    constexpr const char* kSuffixes[] = {"", "C", "°C"};
    BusConfig bus;
    bus.delimiter = kDelimiters[choice[0] % 5];
    bus.decimal_comma = bus.delimiter != ',' && (choice[1] & 1U) != 0;
    bus.checksum = static_cast<Checksum>(choice[1] / 2 % 4);
    bus.fields = choice[2] % 8;
    for (std::uint8_t i = 0; i < 3; ++i) {
        ChannelSource source;
        source.channel = i;
        source.text = TextSource{1 + (choice[3] + i) % 7, (choice[4] & 8U) != 0 ? "---" : "",
                                 i == 2 ? kKeys[choice[4] % 3] : "", kSuffixes[choice[5] % 3]};
        bus.channels.push_back(source);
    }
    return bus;
}

/// The checksum once more, another way.
bool sums_up(Checksum kind, std::string_view line) {
    const std::size_t star = line.rfind('*');
    if (star == std::string_view::npos) return false;
    const std::size_t begin = !line.empty() && line[0] == '$' ? 1 : 0;
    unsigned x = 0;
    unsigned sum = 0;
    unsigned crc = 0xFFFF;
    for (std::size_t i = begin; i < star; ++i) {
        const auto byte = static_cast<unsigned char>(line[i]);
        x ^= byte;
        sum += byte;
        crc ^= byte;
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? (crc >> 1U) ^ 0xA001U : crc >> 1U;
    }
    const unsigned right = kind == Checksum::xor_sum ? x : kind == Checksum::sum ? sum & 0xFFU : crc;
    std::string digits;
    for (int shift = kind == Checksum::crc16 ? 12 : 4; shift >= 0; shift -= 4)
        digits += "0123456789abcdef"[right >> static_cast<unsigned>(shift) & 15U];
    std::string told(line.substr(star + 1));
    for (char& c : told)
        if (c >= 'A' && c <= 'F') c = static_cast<char>(c - 'A' + 'a');
    return told == digits;
}

/// The line with every other field made unreadable.
std::string others_spoilt(std::string_view line, char delimiter, int field) {
    std::string spoilt;
    int number = 1;
    for (const char c : line) {
        if (c == delimiter) {
            ++number;
            spoilt += c;
        } else {
            spoilt += number == field ? c : 'x';
        }
    }
    return spoilt;
}

void check_line(const BusConfig& bus, const std::string& line) {
    const TextLine opened = open_line(bus, line);
    demand(line.find(opened.body) != std::string::npos);
    demand(bus.checksum == Checksum::none || opened.fault == LinkFault::bad_checksum ||
           sums_up(bus.checksum, line));
    for (const ChannelSource& source : bus.channels) {
        const TextValue value = read_text(source, bus, opened);
        const RawValue raw = raw_of(value);
        demand(value.reading.channel == source.channel);
        demand(raw.text() == value.text.substr(0, RawValue::kMaxText));
        demand(line.find(value.text) != std::string::npos);
        const bool good = is_good(value.reading.quality);
        demand(good || value.reading.value_milli == 0);
        demand((value.fault != LinkFault::none) == (value.reading.quality == Quality::bad_reply));
        if (!good) continue;
        demand(opened.fault == LinkFault::none);
        demand(bus.checksum == Checksum::none || sums_up(bus.checksum, line));
        if (!source.text->key.empty() || bus.delimiter == ' ') continue;
        BusConfig plain = bus;
        plain.checksum = Checksum::none;
        const std::string spoilt = others_spoilt(opened.body, bus.delimiter, source.text->field);
        const Reading again = read_text(source, plain, open_line(plain, spoilt)).reading;
        demand(is_good(again.quality) && again.value_milli == value.reading.value_milli);
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size < 6) return 0;
    const BusConfig bus = bus_of(data);
    const std::string stream(reinterpret_cast<const char*>(data) + 6, size - 6);
    check_line(bus, stream);
    LineBuffer lines;
    std::vector<std::string> found;
    for (const char byte : stream) {
        lines.take(std::string_view(&byte, 1));
        if (auto line = lines.newest()) found.push_back(std::move(*line));
    }
    LineBuffer whole;
    whole.take(stream);
    const auto newest = whole.newest();
    demand(newest == (found.empty() ? std::nullopt : std::optional(found.back())));
    demand(whole.overlong() == lines.overlong() && whole.ended() == lines.ended());
    demand(found.size() <= lines.ended());
    for (const std::string& line : found) {
        demand(line.size() <= LineBuffer::kMaxLine);
        check_line(bus, line);
    }
    return 0;
}
