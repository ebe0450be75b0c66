// What a bus and its channels are, as the configuration states it: plain data, shared by config/ and the
// drivers.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "core/milli.hpp"
#include "drivers/sensors/sensor_source.hpp"

namespace drumwatch {

/// `discrete`: bits that can only be read (function 2), for buttons.
enum class RegisterTable : std::uint8_t { input, holding, discrete };
enum class DataType : std::uint8_t { int16, uint16, int32, uint32, float32 };
/// Where the four bytes of a 32-bit value stand in its two registers, most significant byte of the value = A.
enum class WordOrder : std::uint8_t { abcd, cdab, badc, dcba };

struct ModbusSource {
    RegisterTable table = RegisterTable::input;
    std::uint16_t address = 0;  ///< as in the frame: 0-based
    std::uint8_t unit_id = 1;
    DataType type = DataType::int16;
    WordOrder order = WordOrder::abcd;
    std::optional<std::int64_t> open_raw;  ///< the raw integer that means "probe open"
    friend bool operator==(const ModbusSource&, const ModbusSource&) = default;
};

/// A field of a text line (links/text_line.hpp).
struct TextSource {
    int field = 1;          ///< counted from 1; means nothing where there is a key
    std::string open_text;  ///< what the device prints for an open probe; empty: anything that is not a
                            ///< number is a bad reply
    std::string key{};      ///< of `key=value` or `key:value`, wherever in the line; empty: by number
    std::string suffix{};   ///< the unit that the device prints after the number; must be there where set
    friend bool operator==(const TextSource&, const TextSource&) = default;
};

/// raw * scale + offset is what the sensor gives: millivolts, ohms, milliamperes, hertz, or the value itself.
/// What it measures is then turned from its unit into the channel's.
struct ChannelSource {
    std::uint8_t channel = 0;  ///< index into the ChannelTable
    std::optional<ModbusSource> modbus;
    std::optional<TextSource> text;
    std::string captured{};  ///< playback: the channel's name in the capture
    double scale = 1;
    double offset = 0;
    SensorSource sensor;  ///< what raw * scale + offset is of
    SourceUnit unit = SourceUnit::own;
    /// What the probe can read, in thousandths of the channel's unit. The driver only guesses by it which
    /// word order was meant; what lies outside is judged later.
    Milli span_low_milli = std::numeric_limits<Milli>::min();
    Milli span_high_milli = std::numeric_limits<Milli>::max();
    friend bool operator==(const ChannelSource&, const ChannelSource&) = default;
};

/// A bit that a device lets be read, such as a button.
struct DiscreteInput {
    std::uint16_t address = 0;  ///< as in the frame: 0-based
    std::uint8_t unit_id = 1;
    friend bool operator==(const DiscreteInput&, const DiscreteInput&) = default;
};

/// The skeleton is last: no configuration names it (links/skeleton.hpp).
enum class BusKind : std::uint8_t { modbus_tcp, modbus_rtu, serial_text, playback, skeleton };

/// Whether registers, coils and discrete inputs are on such a bus (a playback has captured inputs).
constexpr bool is_modbus(BusKind kind) { return kind == BusKind::modbus_tcp || kind == BusKind::modbus_rtu; }
/// Whether its channels are fields of a text line.
constexpr bool has_lines(BusKind kind) { return !is_modbus(kind) && kind != BusKind::playback; }

enum class Parity : std::uint8_t { none, even, odd };
/// How a line of text vouches for itself (links/text_line.hpp).
enum class Checksum : std::uint8_t { none, xor_sum, sum, crc16 };

/// What one unit of a Modbus bus needs otherwise than the rest of it.
struct BusUnit {
    std::uint8_t unit_id = 1;
    std::optional<std::int64_t> timeout_ms;  ///< in the place of the bus's
    std::int64_t pause_ms = 0;               ///< after its answer, before it is asked again
    friend bool operator==(const BusUnit&, const BusUnit&) = default;
};

struct BusConfig {
    std::string name;
    BusKind kind = BusKind::modbus_tcp;
    std::string host;  ///< modbus_tcp: name or address
    std::uint16_t port = 502;
    std::string device;   ///< modbus_rtu, serial_text: e.g. /dev/serial/by-id/...; playback: the file
    bool repeat = false;  ///< playback: from the beginning again at the end
    std::uint32_t baud = 115200;
    Parity parity = Parity::even;  ///< modbus_rtu; serial_text has none
    int stop_bits = 1;             ///< modbus_rtu
    std::vector<BusUnit> units;    ///< modbus_*: those that differ
    // serial_text:
    char delimiter = ',';
    bool decimal_comma = false;
    Checksum checksum = Checksum::none;
    int fields = 0;    ///< how many a line must have; 0: as many as the channels need
    std::string poll;  ///< sent to be given a line; empty: the device speaks by itself
    std::int64_t timeout_ms =
        300;  ///< for one request; also how long a text stream may be quiet before it is bad
    std::vector<ChannelSource> channels;
    std::vector<DiscreteInput> discrete_inputs;  ///< modbus_*, playback
    /// Simulated stations only: the register pair (holding, high word first) that carries the machine's own
    /// time in ms.
    std::optional<std::uint16_t> time_register;
    std::vector<std::uint16_t> writable_coils;  ///< the allow-list: sounders and heartbeat; empty by default
    friend bool operator==(const BusConfig&, const BusConfig&) = default;
};

}  // namespace drumwatch
