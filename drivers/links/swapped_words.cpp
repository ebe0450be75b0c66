#include "drivers/links/swapped_words.hpp"

#include <fmt/core.h>

#include <cmath>

#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

constexpr double kNoDeviceMeasures = 1e-6;
constexpr double kLeastPlausible = 1e-3;
constexpr WordOrder kOrders[] = {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba};
constexpr const char* kNames[] = {"ABCD", "CDAB", "BADC", "DCBA"};

/// NaN and infinity as devices send them on purpose, for an open probe: a wrong order rarely makes just
/// these.
bool sent_on_purpose(const ModbusSource& modbus, std::uint16_t first, std::uint16_t second) {
    if (modbus.type != DataType::float32) return false;
    const auto bits = static_cast<std::uint32_t>(raw_value(DataType::uint32, modbus.order, first, second));
    const std::uint32_t size = bits & 0x7FFFFFFFU;
    return size == 0x7FC00000U || size == 0x7F800000U || size == 0x7FFFFFFFU;
}

bool in_span(const ChannelSource& source, double raw) {
    const Reading reading = scale_reading(source, raw);
    return is_good(reading.quality) && reading.value_milli >= source.span_low_milli &&
           reading.value_milli <= source.span_high_milli;
}

}  // namespace

std::optional<WordOrder> order_meant(const ChannelSource& source, std::uint16_t first, std::uint16_t second) {
    const ModbusSource& modbus = *source.modbus;
    const double raw = raw_value(modbus.type, modbus.order, first, second);
    const bool tiny = raw != 0 && std::fabs(raw) < kNoDeviceMeasures;
    if (!tiny && in_span(source, raw)) return std::nullopt;
    if (sent_on_purpose(modbus, first, second)) return std::nullopt;
    for (const WordOrder order : kOrders) {
        const double other = raw_value(modbus.type, order, first, second);
        if (order != modbus.order && std::fabs(other) >= kLeastPlausible && in_span(source, other))
            return order;
    }
    return std::nullopt;
}

std::string order_sentence(const ChannelSource& source, std::uint16_t first, std::uint16_t second,
                           WordOrder meant) {
    const ModbusSource& modbus = *source.modbus;
    const auto of = [&](WordOrder order) { return raw_value(modbus.type, order, first, second); };
    return fmt::format("register {} reads {:.4g} as {}; as {} it would be {:.4g}: is \"order\" wrong?",
                       modbus.address, of(modbus.order), kNames[static_cast<std::size_t>(modbus.order)],
                       kNames[static_cast<std::size_t>(meant)], of(meant));
}

}  // namespace drumwatch
