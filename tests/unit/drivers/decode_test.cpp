// Register words and text fields to readings. The four word orders stand against published bytes in
// tests/reference/modbus.
#include "drivers/sensors/decode.hpp"

#include <doctest/doctest.h>

#include <clocale>
#include <initializer_list>
#include <limits>

#include "driver_fixtures.hpp"
#include "drivers/links/text_line.hpp"

using namespace drumwatch;

namespace {

Reading text(std::string_view line, int field = 1, char delimiter = ',', std::string open_text = "---") {
    BusConfig bus;
    bus.delimiter = delimiter;
    return read_text(text_channel(4, field, std::move(open_text)), bus, open_line(bus, line)).reading;
}

bool is(const Reading& reading, Milli milli) {
    return reading.quality == Quality::good && reading.value_milli == milli && reading.channel == 4;
}

}  // namespace

TEST_CASE("integers of every type keep their sign and size") {
    const auto raw = [](DataType type, std::uint16_t first, std::uint16_t second = 0) {
        return raw_value(type, WordOrder::abcd, first, second);
    };
    CHECK(raw(DataType::int16, 0x0805) == 2053);
    CHECK(raw(DataType::int16, 0xFFCE) == -50);  // -5.0 in tenths, two's complement
    CHECK(raw(DataType::uint16, 0xFFCE) == 65486);
    CHECK(raw(DataType::int32, 0xFFFF, 0xFB1E) == -1250);
    CHECK(raw(DataType::uint32, 0xFFFF, 0xFB1E) == 4294966046.0);
    CHECK(raw(DataType::int32, 0x8000, 0x0000) == -2147483648.0);
}

TEST_CASE("a scaled integer becomes whole thousandths") {
    ChannelSource source = modbus_channel(4, RegisterTable::input, 0, DataType::int16, 0.1);
    CHECK(is(decode_registers(source, 2053, 0), 205'300));
    CHECK(is(decode_registers(source, 0xFFCE, 0), -5'000));
    source.offset = 1.5;
    CHECK(is(decode_registers(source, 2053, 0), 206'800));
    source.offset = 0;
    source.unit = SourceUnit::fahrenheit;
    CHECK(is(decode_registers(source, 4010, 0),
             205'000));  // 401 F = 205 C, 32 F = 0 C, -40 = -40: the definition
    CHECK(is(decode_registers(source, 320, 0), 0));
    CHECK(is(decode_registers(source, static_cast<std::uint16_t>(-400), 0), -40'000));
}

TEST_CASE("the sign for an open probe is no value") {
    ChannelSource source = modbus_channel(4, RegisterTable::input, 0, DataType::int16, 0.1);
    source.modbus->open_raw = 32767;
    CHECK(decode_registers(source, 0x7FFF, 0).quality == Quality::open_circuit);
    CHECK(is(decode_registers(source, 0x7FFE, 0), 3'276'600));
    source.modbus->open_raw = 65535;  // the same register as -1
    CHECK(decode_registers(source, 0xFFFF, 0).quality == Quality::open_circuit);
    source.modbus->type = DataType::float32;
    source.modbus->open_raw = -9999;
    CHECK(decode_registers(source, 0xC61C, 0x3C00).quality == Quality::open_circuit);  // -9999 as binary32
    source.modbus->type = DataType::int32;
    source.modbus->order = WordOrder::cdab;
    source.modbus->open_raw = -2147483648LL;
    CHECK(decode_registers(source, 0x0000, 0x8000).quality == Quality::open_circuit);
}

TEST_CASE("what is no finite number that fits is a bad reply") {
    const ChannelSource source = modbus_channel(4, RegisterTable::input, 0, DataType::float32);
    // NaN twice, infinity twice, 3e38.
    for (const std::uint16_t high :
         std::initializer_list<std::uint16_t>{0x7FC0, 0xFFC0, 0x7F80, 0xFF80, 0x7F7F})
        CHECK(decode_registers(source, high, 0).quality == Quality::bad_reply);
}

TEST_CASE("fields of a line are found and read whatever the locale") {
    std::setlocale(LC_ALL, "de_DE.UTF-8");  // a decimal comma, where that locale is installed
    CHECK(is(text("187.4,221.0"), 187'400));
    CHECK(is(text("187.4,221.0", 2), 221'000));
    CHECK(is(text(" 187.4 ;\t-3.25\r", 2, ';'), -3'250));
    CHECK(is(text("+12,1"), 12'000));
    CHECK(is(text("1.5e2,1"), 150'000));
    CHECK(is(text("  187.4   221.0 ", 2, ' '), 221'000));
    std::setlocale(LC_ALL, "C");
}

TEST_CASE("what is missing or no number is a bad reply") {
    for (const std::string_view line : {"", ",5", "abc,5", "187.4C,5", "1e999,5", "nan,5", "inf,5", "0x10,5",
                                        "1 2,5", "+,5", "--,5", "187,4;5", "99999999,1"}) {
        CAPTURE(line);
        const char delimiter = line == "187,4;5" ? ';' : ',';
        CHECK(text(line, 1, delimiter).quality == Quality::bad_reply);
    }
    CHECK(text("187.4", 2).quality == Quality::bad_reply);
    CHECK(text("---,5").quality == Quality::open_circuit);
    CHECK(text(" --- ,5").quality == Quality::open_circuit);
    CHECK(text("---,5", 1, ',', "").quality == Quality::bad_reply);
}
