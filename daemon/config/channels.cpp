// Channels: what is measured, and where its number comes from.
#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr double kMostValue = 2'000'000;  // thousandths must fit 32 bits

constexpr std::string_view kUnitWords[] = {"°C",   "°F", "K",   "%", "rpm", "kPa", "bar",
                                           "mbar", "Pa", "ppm", "g", "kg",  ""};
/// The channel's unit, and the source's.
struct UnitPair {
    Unit unit;
    SourceUnit source;
};
constexpr UnitPair kUnits[] = {
    {Unit::celsius, SourceUnit::own},       {Unit::celsius, SourceUnit::fahrenheit},
    {Unit::celsius, SourceUnit::kelvin},    {Unit::percent, SourceUnit::own},
    {Unit::rpm, SourceUnit::own},           {Unit::kilopascal, SourceUnit::own},
    {Unit::kilopascal, SourceUnit::bar},    {Unit::kilopascal, SourceUnit::millibar},
    {Unit::kilopascal, SourceUnit::pascal}, {Unit::ppm, SourceUnit::own},
    {Unit::gram, SourceUnit::own},          {Unit::gram, SourceUnit::kilogram},
    {Unit::none, SourceUnit::own}};

void read_name(JsonObject& object, std::string& name, const ChannelTable& earlier) {
    if (!object.read("name", name, 32)) return;
    const auto same = [&](const Channel& other) { return other.name == name; };
    if (!is_plain_name(name)) {
        object.complain("name", "must be lower-case letters, digits and underscores, a letter first");
    } else if (name == "mark" || name == "elapsed_s") {
        object.complain("name", "is a column of its own in a roast file; choose another");
    } else if (std::any_of(earlier.begin(), earlier.end(), same)) {
        object.complain("name", fmt::format("{} names another channel already", quoted(name)));
    }
}

void check_unit(JsonObject& object, const std::string& name, Unit unit) {
    const auto role = role_from_name(name);
    if (!role || unit_fits(*role, unit)) return;
    std::vector<std::string_view> right;
    for (std::size_t i = 0; i < std::size(kUnits); ++i) {
        if (unit_fits(*role, kUnits[i].unit)) right.push_back(kUnitWords[i]);
    }
    object.complain("unit", fmt::format("does not fit a channel called \"{}\"; {} would be right", name,
                                        quoted_list(right)));
}

void read_span(JsonObject& object, Channel& channel, SourceUnit unit) {
    const auto items = object.list("span", 2, 2);
    if (items.empty()) return;
    if (!items[0].is_number() || !items[1].is_number() || !(items[0].number < items[1].number) ||
        items[0].number < -kMostValue || items[1].number > kMostValue) {
        object.complain("span",
                        "must be [lowest, highest] of what the probe can read, in the channel's unit");
        return;
    }
    const auto low = to_milli(in_channel_unit(unit, items[0].number));
    const auto high = to_milli(in_channel_unit(unit, items[1].number));
    if (!low || !high) {
        object.complain("span", fmt::format("goes beyond what is kept, 2000000 {}", symbol(channel.unit)));
        return;
    }
    channel.span_low_milli = *low;
    channel.span_high_milli = *high;
}

/// Bounds of the raw integer; nothing for float32.
std::optional<NumberRange> raw_range(DataType type) {
    switch (type) {
        case DataType::int16:
            return NumberRange{-32768, 32767};
        case DataType::uint16:
            return NumberRange{0, 65535};
        case DataType::int32:
            return NumberRange{-2147483648.0, 2147483647.0};
        case DataType::uint32:
            return NumberRange{0, 4294967295.0};
        case DataType::float32:
            break;
    }
    return std::nullopt;
}

bool is_two_registers(DataType type) { return type != DataType::int16 && type != DataType::uint16; }

void read_address(JsonObject& object, ModbusSource& source) {
    const JsonNode* node = object.find("address");
    const double most = is_two_registers(source.type) ? 65534 : 65535;
    if (node != nullptr && node->is_number() && !(node->number >= 0 && node->number <= most)) {
        object.complain(
            "address",
            fmt::format("is {}; 0 to {} would be right, counted from 0 as on the wire (a manual's input "
                        "register 300001 is table \"input\", address 0)",
                        node->number, most));
        return;
    }
    std::int64_t address = 0;
    if (object.read("address", address, {0, most})) source.address = static_cast<std::uint16_t>(address);
}

void read_order(JsonObject& object, ModbusSource& source) {
    static constexpr std::string_view kOrders[] = {"ABCD", "CDAB", "BADC", "DCBA"};
    const auto order = object.choice("order", kOrders);
    if (!order) return;
    source.order = static_cast<WordOrder>(*order);
    if (!is_two_registers(source.type)) {
        object.complain("order", "has no meaning for a value of one register; leave it out");
    }
}

void read_open_raw(JsonObject& object, ModbusSource& source) {
    if (!object.has("open_raw")) return;
    const auto range = raw_range(source.type);
    std::int64_t raw = 0;
    if (!range) {
        object.complain("open_raw", "has no meaning for float32; leave it out");
    } else if (object.read("open_raw", raw, *range)) {
        source.open_raw = raw;
    }
}

std::optional<ModbusSource> read_modbus(JsonObject& channel) {
    static constexpr std::string_view kTables[] = {"input", "holding"};
    static constexpr std::string_view kTypes[] = {"int16", "uint16", "int32", "uint32", "float32"};
    auto object = channel.object("modbus", kModbusKeys);
    if (!object) return std::nullopt;
    ModbusSource source;
    if (const auto table = object->choice("table", kTables))
        source.table = static_cast<RegisterTable>(*table);
    if (const auto type = object->choice("type", kTypes)) source.type = static_cast<DataType>(*type);
    read_address(*object, source);
    read_unit_id(*object, source.unit_id);
    read_order(*object, source);
    read_open_raw(*object, source);
    return source;
}

/// What a capture holds has been measured already.
void refuse_all_sources(JsonObject& object, const BusConfig& bus) {
    for (const std::string_view key :
         {"modbus", "text", "scale", "offset", "thermocouple", "rtd", "signal", "pulses"}) {
        if (object.has(key))
            object.complain(key,
                            fmt::format("has no meaning on bus \"{}\", a capture; leave it out", bus.name));
    }
}

void check_source(JsonObject& object, const BusConfig& bus) {
    if (bus.kind == BusKind::playback) return refuse_all_sources(object, bus);
    const bool lines = has_lines(bus.kind);
    const std::string_view need = lines ? "text" : "modbus";
    const std::string_view other = lines ? "modbus" : "text";
    if (!object.has(need)) {
        object.complain(need, fmt::format("is missing; a channel on bus \"{}\" needs it", bus.name));
    }
    if (object.has(other)) {
        object.complain(other, fmt::format("has no meaning on bus \"{}\"; leave it out", bus.name));
    }
}

void read_probe_lag(JsonObject& object, Channel& channel) {
    if (!object.has("probe_lag_ms")) return;
    const auto role = role_from_name(channel.name);
    if (role && role != Role::bean) {  // a misspelt name or a wrong unit is said already
        object.complain("probe_lag_ms", "is for the channel called \"bean\" only; leave it out");
        return;
    }
    object.read("probe_lag_ms", channel.probe_lag_ms, {0, 30'000, "ms"});
}

void read_scale(JsonObject& object, ChannelSource& source) {
    object.read("scale", source.scale, {-1e6, 1e6});
    if (source.scale == 0) object.complain("scale", "is 0 and would make every value the same");
    object.read("offset", source.offset, {-1e6, 1e6});
}

void read_channel(JsonObject& object, Config& config, std::vector<ColdJunctionName>& cold_junctions) {
    std::string name;
    read_name(object, name, config.channels);
    const auto unit = object.choice("unit", kUnitWords);
    Channel channel = make_channel(name, kUnits[unit.value_or(0)].unit);
    ChannelSource source;
    source.channel = static_cast<std::uint8_t>(config.channels.size());
    source.unit = kUnits[unit.value_or(0)].source;
    if (unit) check_unit(object, name, channel.unit);
    read_span(object, channel, source.unit);
    object.read("max_age_ms", channel.max_age_ms, {static_cast<double>(config.tick_ms), 60'000, "ms"});
    read_probe_lag(object, channel);
    read_scale(object, source);
    source.modbus = read_modbus(object);
    source.text = read_text_source(object);
    read_sensor(object, source, unit ? std::optional(kUnitWords[*unit]) : std::nullopt, cold_junctions);
    config.channels.push_back(std::move(channel));
    if (const auto bus = bus_named(object, "bus", config)) {
        check_source(object, config.buses[*bus]);
        if (config.buses[*bus].kind == BusKind::playback) source.captured = name;
        config.buses[*bus].channels.push_back(std::move(source));
    }
}

}  // namespace

void read_unit_id(JsonObject& object, std::uint8_t& unit_id) {
    std::int64_t number = unit_id;
    if (!object.read("unit_id", number, {1, 255})) return;
    if (number > 247 && number < 255) {
        object.complain("unit_id", fmt::format("is {}; 1 to 247 or 255 would be right", number));
    }
    unit_id = static_cast<std::uint8_t>(number);
}

void read_channels(JsonObject& root, Config& config) {
    const auto items = root.list("channels", 1, kMaxChannels);
    std::vector<ColdJunctionName> cold_junctions;
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject object(items[i], pointer_to(root.pointer("channels"), i), kChannelKeys, root.mistakes());
        read_channel(object, config, cold_junctions);
    }
    read_twins(root, config);
    find_cold_junctions(root, cold_junctions, config);
    const auto named_bean = [](const Channel& channel) { return channel.name == "bean"; };
    if (!items.empty() && std::none_of(config.channels.begin(), config.channels.end(), named_bean)) {
        root.complain("channels",
                      "no channel is called \"bean\": the bean temperature is what a roast is followed by");
    }
}

}  // namespace drumwatch
