// The kinds of bus that a configuration can name and the keys that each takes, the one list of them: the
// reader refuses a key of another kind, and conf/station.schema.json is tested against it.
#pragma once

#include <algorithm>
#include <array>
#include <span>
#include <string_view>

#include "drivers/bus.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

/// Beside `name` and `kind`, which every bus has.
struct BusKindKeys {
    BusKind kind;
    std::string_view word;
    std::span<const JsonKey> keys;
};

inline constexpr JsonKey kModbusTcpKeys[] = {
    {"host", true}, {"port"}, {"units"}, {"timeout_ms"}, {"time_register"}};
inline constexpr JsonKey kModbusRtuKeys[] = {{"device", true}, {"baud"},  {"parity"},
                                             {"stop_bits"},    {"units"}, {"timeout_ms"}};
inline constexpr JsonKey kSerialTextKeys[] = {{"device", true}, {"baud"},   {"delimiter"}, {"decimal"},
                                              {"checksum"},     {"fields"}, {"poll"},      {"timeout_ms"}};
inline constexpr JsonKey kPlaybackKeys[] = {{"file", true}, {"repeat"}};

inline constexpr BusKindKeys kBusKinds[] = {
    {BusKind::modbus_tcp, "modbus_tcp", kModbusTcpKeys},
    {BusKind::modbus_rtu, "modbus_rtu", kModbusRtuKeys},
    {BusKind::serial_text, "serial_text", kSerialTextKeys},
    {BusKind::playback, "playback", kPlaybackKeys},
};

inline constexpr bool kBusKindsComplete = [] {
    for (std::size_t i = 0; i < std::size(kBusKinds); ++i)
        if (static_cast<std::size_t>(kBusKinds[i].kind) != i) return false;
    return std::size(kBusKinds) == static_cast<std::size_t>(BusKind::skeleton);
}();
static_assert(kBusKindsComplete, "every kind but the skeleton has its row, in the order of the enumeration");

/// `name`, `kind`, and each key of a kind once; how many. What a kind requires is not required of a bus.
constexpr std::size_t gather_bus_keys(std::span<JsonKey> into) {
    std::size_t count = 0;
    into[count++] = {"name", true};
    into[count++] = {"kind", true};
    for (const BusKindKeys& kind : kBusKinds) {
        for (const JsonKey& key : kind.keys) {
            const auto so_far = into.first(count);
            const bool there = std::any_of(so_far.begin(), so_far.end(),
                                           [&](const JsonKey& other) { return other.name == key.name; });
            if (!there) into[count++] = {key.name};
        }
    }
    return count;
}

inline constexpr auto kBusKeys = [] {
    constexpr std::size_t kCount = [] {
        std::array<JsonKey, 64> room{};
        return gather_bus_keys(room);
    }();
    std::array<JsonKey, kCount> keys{};
    gather_bus_keys(keys);
    return keys;
}();

}  // namespace drumwatch
