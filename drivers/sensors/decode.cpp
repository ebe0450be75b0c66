#include "drivers/sensors/decode.hpp"

#include <bit>
#include <charconv>
#include <cmath>
#include <optional>

#include "core/milli.hpp"
#include "drivers/sensors/bus_sensors.hpp"
#include "drivers/sensors/sensors.hpp"

namespace drumwatch {
namespace {

constexpr std::uint16_t swap_bytes(std::uint16_t word) {
    return static_cast<std::uint16_t>((word << 8U) | (word >> 8U));
}

std::uint32_t join(WordOrder order, std::uint16_t first, std::uint16_t second) {
    const bool bytes_swapped = order == WordOrder::badc || order == WordOrder::dcba;
    const bool words_swapped = order == WordOrder::cdab || order == WordOrder::dcba;
    std::uint32_t high = words_swapped ? second : first;
    std::uint32_t low = words_swapped ? first : second;
    if (bytes_swapped) {
        high = swap_bytes(static_cast<std::uint16_t>(high));
        low = swap_bytes(static_cast<std::uint16_t>(low));
    }
    return (high << 16U) | low;
}

bool means_open(const ModbusSource& source, std::uint16_t first, std::uint16_t second) {
    if (!source.open_raw) return false;
    if (source.type == DataType::float32)
        return raw_value(source.type, source.order, first, second) == static_cast<double>(*source.open_raw);
    if (register_count(source.type) == 1) return static_cast<std::uint16_t>(*source.open_raw) == first;
    return static_cast<std::uint32_t>(*source.open_raw) == join(source.order, first, second);
}

std::string_view trimmed(std::string_view text) {
    const std::size_t begin = text.find_first_not_of(" \t\r");
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(" \t\r") - begin + 1);
}

std::optional<std::string_view> nth_field(std::string_view line, char delimiter, int number) {
    if (delimiter == ' ') line = trimmed(line);
    for (int i = 1; i < number; ++i) {
        const std::size_t end = line.find(delimiter);
        if (end == std::string_view::npos) return std::nullopt;
        line.remove_prefix(end + 1);
        if (delimiter == ' ') line = trimmed(line);
    }
    return trimmed(line.substr(0, line.find(delimiter)));
}

std::optional<double> number_from(std::string_view text) {
    if (text.starts_with('+')) text.remove_prefix(1);
    double value = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (error != std::errc() || stop != end || text.empty()) return std::nullopt;
    return value;
}

}  // namespace

double raw_value(DataType type, WordOrder order, std::uint16_t first, std::uint16_t second) {
    const std::uint32_t both = join(order, first, second);
    switch (type) {
        case DataType::int16:
            return static_cast<std::int16_t>(first);
        case DataType::uint16:
            return first;
        case DataType::int32:
            return static_cast<std::int32_t>(both);
        case DataType::uint32:
            return both;
        case DataType::float32:
            return static_cast<double>(std::bit_cast<float>(both));
    }
    return 0;
}

Reading scale_reading(const ChannelSource& source, double raw) {
    const double number = raw * source.scale + source.offset;
    if (!std::isfinite(number)) return {source.channel, 0, Quality::bad_reply};
    if (needs_others(source.sensor)) return unfinished(source, number);
    const Measured measured = measure(source.sensor, number);
    if (measured.quality != Quality::good) return {source.channel, 0, measured.quality};
    const std::optional<Milli> milli = to_milli(in_channel_unit(source.unit, measured.value));
    if (!milli) return {source.channel, 0, Quality::bad_reply};
    return {source.channel, *milli, Quality::good};
}

Reading decode_registers(const ChannelSource& source, std::uint16_t first, std::uint16_t second) {
    const ModbusSource& modbus = *source.modbus;
    if (means_open(modbus, first, second)) return {source.channel, 0, Quality::open_circuit};
    return scale_reading(source, raw_value(modbus.type, modbus.order, first, second));
}

Reading decode_text(const ChannelSource& source, std::string_view line, char delimiter) {
    const std::optional<std::string_view> field = nth_field(line, delimiter, source.text->field);
    if (!field) return {source.channel, 0, Quality::bad_reply};
    if (!source.text->open_text.empty() && *field == trimmed(source.text->open_text))
        return {source.channel, 0, Quality::open_circuit};
    const std::optional<double> raw = number_from(*field);
    if (!raw) return {source.channel, 0, Quality::bad_reply};
    return scale_reading(source, *raw);
}

}  // namespace drumwatch
