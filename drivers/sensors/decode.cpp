#include "drivers/sensors/decode.hpp"

#include <bit>
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

}  // namespace

double raw_value(DataType type, WordOrder order, std::uint16_t first, std::uint16_t second) {
    const auto both = [&] { return join(order, first, second); };
    switch (type) {
        case DataType::int16:
            return static_cast<std::int16_t>(first);
        case DataType::uint16:
            return first;
        case DataType::int32:
            return static_cast<std::int32_t>(both());
        case DataType::uint32:
            return both();
        case DataType::float32:
            return static_cast<double>(std::bit_cast<float>(both()));
    }
    return 0;
}

Reading scale_reading(const ChannelSource& source, double raw) {
    const double number = raw * source.scale + source.offset;
    // Most channels are a number in the channel's own unit, and a bus thread has them in each poll.
    if (std::holds_alternative<std::monostate>(source.sensor) && source.unit == SourceUnit::own) {
        const std::optional<Milli> milli = to_milli(number);
        return milli ? Reading{source.channel, *milli, Quality::good}
                     : Reading{source.channel, 0, Quality::bad_reply};
    }
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
    const double raw = modbus.type == DataType::int16 ? static_cast<std::int16_t>(first)
                                                      : raw_value(modbus.type, modbus.order, first, second);
    return scale_reading(source, raw);
}

}  // namespace drumwatch
