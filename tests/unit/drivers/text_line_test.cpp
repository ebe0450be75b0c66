// What is read of one line of text, and what is not. Fields by number stand in decode_test.cpp too.
#include "drivers/links/text_line.hpp"

#include <doctest/doctest.h>

#include "driver_fixtures.hpp"

using namespace drumwatch;

namespace {

ChannelSource keyed(std::string key, std::string suffix = {}) {
    ChannelSource channel = text_channel(0, 1, "---");
    channel.text->key = std::move(key);
    channel.text->suffix = std::move(suffix);
    return channel;
}

TextValue read(const ChannelSource& channel, const BusConfig& bus, std::string_view line) {
    return read_text(channel, bus, open_line(bus, line));
}

bool is(const TextValue& value, Milli milli) {
    return value.fault == LinkFault::none && value.reading.quality == Quality::good &&
           value.reading.value_milli == milli;
}

bool is(const TextValue& value, LinkFault fault) {
    return value.fault == fault && value.reading.quality == Quality::bad_reply &&
           value.reading.value_milli == 0;
}

BusConfig checked(Checksum kind) {
    BusConfig bus;
    bus.checksum = kind;
    return bus;
}

}  // namespace

TEST_CASE("a value is found by its key wherever it stands") {
    const BusConfig bus;
    CHECK(is(read(keyed("bean"), bus, "air=221.0,bean=187.4"), 187'400));
    CHECK(is(read(keyed("bean"), bus, " bean : 187.4 ,air:221.0"), 187'400));
    CHECK(is(read(keyed("bean"), bus, "beans=1,air=2"), LinkFault::missing_field));
    CHECK(is(read(keyed("bean"), bus, "187.4,221.0"), LinkFault::missing_field));
    CHECK(is(read(keyed("bean"), bus, "ean=187.4,air=2"), LinkFault::missing_field));  // its head was lost
    CHECK(is(read(keyed("bean"), bus, "bean=1,bean=2"), LinkFault::unreadable_field));
    CHECK(is(read(keyed("bean"), bus, "bean=,air=2"), LinkFault::unreadable_field));
    CHECK(read(keyed("bean"), bus, "bean=---").reading.quality == Quality::open_circuit);
}

TEST_CASE("a stated suffix must be there and a cut number has none") {
    BusConfig bus;
    for (const char* suffix : {"C", "°C"}) {
        ChannelSource channel = text_channel(0, 1, "---");
        channel.text->suffix = suffix;
        CHECK(is(read(channel, bus, std::string("187.4") + suffix), 187'400));
        CHECK(is(read(channel, bus, std::string("187.4 ") + suffix + ",5"), 187'400));
        CHECK(is(read(channel, bus, "187.4"), LinkFault::unreadable_field));
        CHECK(is(read(channel, bus, "18"), LinkFault::unreadable_field));
        CHECK(is(read(channel, bus, std::string("187.4F")), LinkFault::unreadable_field));
        CHECK(is(read(channel, bus, suffix), LinkFault::unreadable_field));
        CHECK(read(channel, bus, "---").reading.quality == Quality::open_circuit);
    }
}

TEST_CASE("a decimal comma is one only where it was stated") {
    BusConfig bus;
    bus.delimiter = ';';
    const ChannelSource channel = text_channel(0, 1);
    CHECK(is(read(channel, bus, "187,4;5"), LinkFault::unreadable_field));
    bus.decimal_comma = true;
    CHECK(is(read(channel, bus, "187,4;5"), 187'400));
    CHECK(is(read(channel, bus, "+187;5"), 187'000));
    CHECK(is(read(channel, bus, "187.4;5"), LinkFault::unreadable_field));
    CHECK(is(read(channel, bus, "1,234,5;5"), LinkFault::unreadable_field));
    CHECK(is(read(channel, bus, "+-5;1"), LinkFault::unreadable_field));
}

TEST_CASE("a line with another number of fields than stated gives nobody a value") {
    BusConfig bus;
    const ChannelSource second = text_channel(1, 2);
    CHECK(is(read(second, bus, "5,2,3"), 2'000));
    CHECK(is(read(second, bus, "1"), LinkFault::missing_field));
    bus.fields = 4;
    CHECK(is(read(second, bus, "1,2,3,4"), 2'000));
    CHECK(is(read(second, bus, "2,3,4"), LinkFault::wrong_field_count));  // its head was lost
    CHECK(is(read(second, bus, "1,2,3,4,5"), LinkFault::wrong_field_count));
    bus.delimiter = ' ';
    CHECK(is(read(second, bus, "  1   2 3 4 "), 2'000));
}

// The sentence is printed in many introductions to NMEA 0183 with its checksum 47 (from memory).
TEST_CASE("xor is the checksum of NMEA 0183") {
    const BusConfig bus = checked(Checksum::xor_sum);
    const std::string sentence = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47";
    CHECK(is(read(text_channel(0, 10), bus, sentence), 545'400));
    CHECK(is(read(text_channel(0, 10), bus, sentence.substr(1)), 545'400));  // the $ is not counted
    CHECK(open_line(bus, sentence).body.starts_with("GPGGA"));
    for (std::size_t at = 1; at < sentence.size(); ++at) {
        std::string changed = sentence;
        changed[at] = static_cast<char>(changed[at] ^ 1);
        CHECK(is(read(text_channel(0, 10), bus, changed), LinkFault::bad_checksum));
    }
    for (std::size_t length = 0; length < sentence.size(); ++length)
        CHECK(is(read(text_channel(0, 10), bus, sentence.substr(0, length)), LinkFault::bad_checksum));
    CHECK(is(read(text_channel(0, 1), bus, sentence + " "), LinkFault::bad_checksum));
}

TEST_CASE("sum and CRC are as their descriptions say") {
    // 31h to 39h add up to 1DDh; 4B37h is the check value of public CRC catalogues (CRC-16/MODBUS).
    CHECK(is(read(text_channel(0, 1), checked(Checksum::sum), "123456*35"), 123'456'000));
    CHECK(open_line(checked(Checksum::sum), "123456789*DD").fault == LinkFault::none);
    CHECK(open_line(checked(Checksum::sum), "123456789*dd").fault == LinkFault::none);
    CHECK(open_line(checked(Checksum::sum), "123456789*DE").fault == LinkFault::bad_checksum);
    CHECK(open_line(checked(Checksum::sum), "123456789").fault == LinkFault::bad_checksum);
    CHECK(open_line(checked(Checksum::crc16), "123456789*4B37").fault == LinkFault::none);
    CHECK(open_line(checked(Checksum::crc16), "123456789*374B").fault == LinkFault::bad_checksum);
    CHECK(open_line(checked(Checksum::crc16), "123456789*4B3").fault == LinkFault::bad_checksum);
    CHECK(open_line(checked(Checksum::crc16), "*FFFF").fault == LinkFault::none);  // nothing, rightly summed
}

TEST_CASE("what came is kept for the person who looks") {
    const RawValue raw = raw_of(read(text_channel(0, 2), {}, "1,fifty degrees and a good deal more"));
    CHECK(raw.kind == RawValue::Kind::text);
    CHECK(raw.fault == LinkFault::unreadable_field);
    CHECK(raw.text() == "fifty degrees and a good");
}
