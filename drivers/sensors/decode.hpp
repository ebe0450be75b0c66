// From what a device sent to a Reading: register words, word orders, scaling, sensors, units.
//
// PURE: no clock, no device, no allocation; any thread. Nothing here fails: what cannot be read has the
// quality that says so, and no value.
//
// Sources: 16-bit registers travel high byte first (MODBUS Application Protocol Specification V1.1b3, section
// 4.2). How a 32-bit value lies in two registers is the maker's choice; the four orders in use are written
// with the value's bytes, most significant first, as A B C D (common practice, no source).
#pragma once

#include <cstdint>

#include "core/reading.hpp"
#include "drivers/bus.hpp"

namespace drumwatch {

/// How many registers a value takes: 1 or 2.
constexpr std::uint16_t register_count(DataType type) {
    return type == DataType::int16 || type == DataType::uint16 ? 1 : 2;
}

/// The number in the registers, before scaling; `second` is not looked at for 16-bit types. May be NaN or
/// infinite for float32. Exact for every type.
double raw_value(DataType type, WordOrder order, std::uint16_t first, std::uint16_t second);

/// `source.modbus` must be set. open_raw is compared with an integer bit for bit (so -1 and 65535 mean the
/// same 16-bit register), with a float32 as a number.
Reading decode_registers(const ChannelSource& source, std::uint16_t first, std::uint16_t second);

/// raw * scale + offset, what the sensor makes of it, in the channel's unit, rounded once to thousandths;
/// what is not finite or does not fit is a bad reply. A sensor that needs more than its number is left
/// unfinished (bus_sensors.hpp).
Reading scale_reading(const ChannelSource& source, double raw);

}  // namespace drumwatch
