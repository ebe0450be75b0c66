// Buses and simulated time.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxBuses = 16;  // alarms keep a bit for each
/// What Linux serial ports do as a matter of course; another rate may silently become a wrong one.
constexpr std::int64_t kBaudRates[] = {1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400};
constexpr std::int64_t kLineBaud = 19200;  // MODBUS over Serial Line V1.02, section 3.1: the default
constexpr std::size_t kMaxUnits = 32;      // one RS-485 segment
constexpr NumberRange kTimeouts_ms{50, 10'000, "ms"};
constexpr std::int64_t kStreamTimeout_ms = 2000;  // a stream of one line a second must not look dead

/// Each key that such a bus must have or can't have.
void check_keys(JsonObject& object, const BusKindKeys& kind) {
    for (const JsonKey& key : kind.keys) {
        if (key.required && !object.has(key.name))
            object.complain(key.name, fmt::format("is missing; a {} bus needs it", kind.word));
    }
    for (const JsonKey& key : kBusKeys) {
        const auto same = [&](const JsonKey& other) { return other.name == key.name; };
        if (!key.required && object.has(key.name) && std::none_of(kind.keys.begin(), kind.keys.end(), same))
            object.complain(key.name, fmt::format("has no meaning on a {} bus; leave it out", kind.word));
    }
}

void read_device(JsonObject& object, BusConfig& bus) {
    object.read("device", bus.device, 255);
    std::int64_t baud = bus.baud;
    if (!object.read("baud", baud, {1200, 230400})) return;
    if (std::find(std::begin(kBaudRates), std::end(kBaudRates), baud) == std::end(kBaudRates)) {
        object.complain("baud", fmt::format("is {}; 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200 or "
                                            "230400 would be right",
                                            baud));
    }
    bus.baud = static_cast<std::uint32_t>(baud);
}

void read_unit(JsonObject& object, BusConfig& bus) {
    BusUnit unit;
    read_unit_id(object, unit.unit_id);
    std::int64_t timeout_ms = 0;
    if (object.read("timeout_ms", timeout_ms, kTimeouts_ms)) unit.timeout_ms = timeout_ms;
    object.read("pause_ms", unit.pause_ms, {0, 1000, "ms"});
    const auto same = [&](const BusUnit& other) { return other.unit_id == unit.unit_id; };
    if (std::any_of(bus.units.begin(), bus.units.end(), same))
        object.complain("unit_id", fmt::format("is {}, which stands in this list already", unit.unit_id));
    bus.units.push_back(unit);
}

void read_units(JsonObject& object, BusConfig& bus) {
    const auto items = object.list("units", 1, kMaxUnits);
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject unit(items[i], pointer_to(object.pointer("units"), i), kBusUnitKeys, object.mistakes());
        read_unit(unit, bus);
    }
}

void read_modbus_tcp(JsonObject& object, BusConfig& bus) {
    object.read("host", bus.host, 253);
    std::int64_t number = 0;
    if (object.read("port", number, {1, 65535})) bus.port = static_cast<std::uint16_t>(number);
    if (object.read("time_register", number, {0, 65534}))
        bus.time_register = static_cast<std::uint16_t>(number);
    read_units(object, bus);
}

void read_modbus_rtu(JsonObject& object, BusConfig& bus) {
    static constexpr std::string_view kParities[] = {"none", "even", "odd"};
    bus.baud = kLineBaud;
    read_device(object, bus);
    if (const auto parity = object.choice("parity", kParities)) bus.parity = static_cast<Parity>(*parity);
    std::int64_t stop_bits = bus.parity == Parity::none ? 2 : 1;
    object.read("stop_bits", stop_bits, {1, 2});
    bus.stop_bits = static_cast<int>(stop_bits);
    read_units(object, bus);
}

void read_serial_text(JsonObject& object, BusConfig& bus) {
    bus.timeout_ms = kStreamTimeout_ms;
    read_device(object, bus);
    read_text_keys(object, bus);
}

void read_playback(JsonObject& object, BusConfig& bus, const Config& config) {
    if (object.read("file", bus.device, 1024)) bus.device = beside(config, bus.device);
    object.read("repeat", bus.repeat);
}

void read_name(JsonObject& object, BusConfig& bus, const std::vector<BusConfig>& earlier) {
    if (!object.read("name", bus.name, 32)) return;
    const auto same = [&](const BusConfig& other) { return other.name == bus.name; };
    if (!is_plain_name(bus.name)) {
        object.complain("name", "must be lower-case letters, digits and underscores, a letter first");
    } else if (std::any_of(earlier.begin(), earlier.end(), same)) {
        object.complain("name", fmt::format("{} names another bus already", quoted(bus.name)));
    }
}

void read_keys(JsonObject& object, BusConfig& bus, const Config& config) {
    switch (bus.kind) {
        case BusKind::modbus_tcp:
            return read_modbus_tcp(object, bus);
        case BusKind::modbus_rtu:
            return read_modbus_rtu(object, bus);
        case BusKind::serial_text:
            return read_serial_text(object, bus);
        case BusKind::playback:
            return read_playback(object, bus, config);
        case BusKind::skeleton:
            return;
    }
}

BusConfig read_bus(JsonObject& object, const Config& config) {
    std::array<std::string_view, std::size(kBusKinds)> words;
    std::transform(std::begin(kBusKinds), std::end(kBusKinds), words.begin(),
                   [](const BusKindKeys& kind) { return kind.word; });
    BusConfig bus;
    read_name(object, bus, config.buses);
    if (const auto kind = object.choice("kind", words)) {
        bus.kind = kBusKinds[*kind].kind;
        check_keys(object, kBusKinds[*kind]);
        read_keys(object, bus, config);
    }
    object.read("timeout_ms", bus.timeout_ms, kTimeouts_ms);
    return bus;
}

/// The machine's own time exists on a simulated station only, and there is one machine.
void check_time_registers(JsonObject& root, const Config& config) {
    const JsonNode* last = nullptr;
    for (std::size_t i = 0; i < config.buses.size(); ++i) {
        if (!config.buses[i].time_register) continue;
        const JsonNode& node = root.find("buses")->items[i];
        const std::string pointer = pointer_to(root.pointer("buses"), i) + "/time_register";
        if (!config.simulated) {
            root.mistakes().push_back(
                {pointer, "only a simulated station has one; leave it out, or declare \"simulated\"",
                 node.place});
        } else if (last != nullptr) {
            root.mistakes().push_back(
                {pointer, "another bus has one already: one machine keeps one time", node.place});
        }
        last = &node;
    }
    if (last == nullptr && config.simulated && config.simulated->stepped) {
        root.complain("simulated",
                      "stepped time is the machine's own: one bus must have a \"time_register\"");
    }
}

}  // namespace

void read_simulated(JsonObject& root, Config& config) {
    auto object = root.object("simulated", kSimulatedKeys);
    if (!object) return;
    SimulatedConfig simulated;
    object->read("stepped", simulated.stepped);
    object->read("speed", simulated.speed, {1, 20, "times"});
    if (object->has("speed") == simulated.stepped) {
        object->complain_here("give either \"speed\" (1 to 20 times) or \"stepped\": true");
    }
    config.simulated = simulated;
}

void read_buses(JsonObject& root, Config& config) {
    const auto items = root.list("buses", 1, kMaxBuses);
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject object(items[i], pointer_to(root.pointer("buses"), i), kBusKeys, root.mistakes());
        config.buses.push_back(read_bus(object, config));
    }
    check_time_registers(root, config);
}

std::optional<std::size_t> bus_named(JsonObject& object, std::string_view key, const Config& config) {
    std::string name;
    if (!object.read(key, name, 32)) return std::nullopt;
    std::vector<std::string_view> names;
    for (const BusConfig& bus : config.buses) names.push_back(bus.name);
    const auto at = std::find(names.begin(), names.end(), name);
    if (at != names.end()) return static_cast<std::size_t>(at - names.begin());
    const auto meant = nearest_word(name, names);
    object.complain(key, fmt::format("there is no bus {}; {}", quoted(name),
                                     meant ? fmt::format("did you mean \"{}\"?", *meant)
                                           : "the buses are " + quoted_list(names)));
    return std::nullopt;
}

}  // namespace drumwatch
