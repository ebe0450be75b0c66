// What stands at the end of a channel's wire: thermocouple, resistance thermometer, signal, pulses.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "config/keys.hpp"
#include "config/parts.hpp"
#include "drivers/sensors/thermocouple.hpp"

namespace drumwatch {
namespace {

constexpr double kColdestTerminals_c = -40;  // judgement: where electronics are not kept either
constexpr double kHottestTerminals_c = 125;
constexpr double kMostRangeValue = 2'000'000;  // thousandths must fit 32 bits

void need_unit(JsonObject& channel, std::optional<std::string_view> unit, std::string_view right,
               std::string_view why) {
    if (!unit || unit == right) return;  // a wrong one is said already
    channel.complain("unit", fmt::format("does not fit {}; \"{}\" would be right", why, right));
}

void read_cold_junction(JsonObject& object, ThermocoupleSource& source, ChannelSource& channel,
                        std::vector<ColdJunctionName>& cold_junctions) {
    const bool fixed = object.has("cold_junction_c");
    if (fixed == object.has("cold_junction")) {
        object.complain_here(
            "give either \"cold_junction_c\", the temperature where the thermocouple's wires end (0 where "
            "the "
            "device has made up for it), or \"cold_junction\", the channel that measures it");
        return;
    }
    const ThermocoupleRange& range = thermocouple_type(source.type)->range;
    object.read("cold_junction_c", source.cold_junction_c,
                {std::max(kColdestTerminals_c, range.low_c), kHottestTerminals_c, "°C"});
    std::string name;
    if (!object.read("cold_junction", name, 32)) return;
    cold_junctions.push_back(
        {channel.channel, name, object.pointer("cold_junction"), object.find("cold_junction")->place});
}

void read_thermocouple(JsonObject& object, ChannelSource& channel,
                       std::vector<ColdJunctionName>& cold_junctions) {
    static constexpr std::string_view kTypes[] = {"K", "J", "T", "E", "N", "R", "S", "B"};
    ThermocoupleSource source;
    if (const auto type = object.choice("type", kTypes)) source.type = kTypes[*type].front();
    read_cold_junction(object, source, channel, cold_junctions);
    channel.sensor = source;
}

void read_rtd(JsonObject& object, ChannelSource& channel) {
    static constexpr std::string_view kTypes[] = {"pt100", "pt1000"};
    RtdSource source;
    if (const auto type = object.choice("type", kTypes)) source.type = static_cast<RtdType>(*type);
    channel.sensor = source;
}

void read_signal(JsonObject& object, ChannelSource& channel) {
    SignalSource source;
    const bool low = object.read("low", source.low, {-1000, 1000, "mA or V"});
    const bool high = object.read("high", source.high, {-1000, 1000, "mA or V"});
    const bool ends_right = (low || !object.has("low")) && (high || !object.has("high"));
    const bool rises = source.low < source.high;
    if (ends_right && !rises)
        object.complain("high", fmt::format("must lie above \"low\", {:g}", source.low));
    const NumberRange values{-kMostRangeValue, kMostRangeValue};
    const bool lower = object.read("lower_range_value", source.lower_range_value, values);
    const bool upper = object.read("upper_range_value", source.upper_range_value, values);
    if (lower && upper && source.lower_range_value == source.upper_range_value)
        object.complain("upper_range_value", "must be another than \"lower_range_value\"");
    source.fault_below = usual_fault_below(source.low, source.high);
    source.fault_above = usual_fault_above(source.low, source.high);
    if (rises) {
        object.read("fault_below", source.fault_below, {-1000, source.low, "mA or V"});
        object.read("fault_above", source.fault_above, {source.high, 1000, "mA or V"});
    }
    channel.sensor = source;
}

/// A counter goes round where its register does, unless said otherwise.
int usual_bits(const ChannelSource& channel) {
    const bool one_register = channel.modbus && (channel.modbus->type == DataType::int16 ||
                                                 channel.modbus->type == DataType::uint16);
    return one_register ? 16 : 32;
}

void check_counter(JsonObject& object, JsonObject& channel_object, const ChannelSource& channel) {
    for (const std::string_view key : {"scale", "offset"})
        if (channel_object.has(key))
            channel_object.complain(key, "has no meaning for a counter of pulses; leave it out");
    if (channel.modbus && channel.modbus->type == DataType::float32)
        object.complain("count", "needs a whole number; a modbus \"type\" without a fraction would be right");
}

void read_pulses(JsonObject& object, JsonObject& channel_object, ChannelSource& channel) {
    PulseSource source;
    object.read("per_turn", source.per_turn, {0.001, 100'000, "pulses"});
    const bool known = object.read("count", source.count) || !object.has("count");
    std::int64_t bits = usual_bits(channel);
    if (object.read("bits", bits, {16, 32}) && bits != 16 && bits != 32)
        object.complain("bits", fmt::format("is {}; 16 or 32 would be right", bits));
    if (object.has("bits") && known && !source.count)
        object.complain("bits", "is for a counter only (\"count\": true); leave it out");
    source.bits = bits == 16 ? 16 : 32;
    if (source.count) check_counter(object, channel_object, channel);
    channel.sensor = source;
}

ChannelSource* source_of(Config& config, std::size_t channel, std::string& bus) {
    for (BusConfig& of : config.buses) {
        for (ChannelSource& source : of.channels) {
            if (source.channel != channel) continue;
            bus = of.name;
            return &source;
        }
    }
    return nullptr;  // its bus is wrong, and that is said already
}

std::string unknown_channel(const std::string& name, const ChannelTable& channels) {
    std::vector<std::string_view> names;
    for (const Channel& channel : channels) names.push_back(channel.name);
    const auto meant = nearest_word(name, names);
    return fmt::format("there is no channel {}; {}", quoted(name),
                       meant ? fmt::format("did you mean \"{}\"?", *meant)
                             : "the name of a channel that measures where the wires end would be right");
}

/// What is wrong with it; empty when it was taken.
std::string take_cold_junction(const ColdJunctionName& wanted, Config& config) {
    const auto found = std::find_if(config.channels.begin(), config.channels.end(),
                                    [&](const Channel& channel) { return channel.name == wanted.name; });
    if (found == config.channels.end()) return unknown_channel(wanted.name, config.channels);
    const auto index = static_cast<std::size_t>(found - config.channels.begin());
    std::string hot_bus, cold_bus;
    ChannelSource* const hot = source_of(config, wanted.channel, hot_bus);
    const ChannelSource* const cold = source_of(config, index, cold_bus);
    if (hot == nullptr || cold == nullptr) return {};
    if (found->unit != Unit::celsius)
        return fmt::format("\"{}\" is no temperature; a channel that measures one would be right",
                           found->name);
    if (std::holds_alternative<ThermocoupleSource>(cold->sensor))
        return fmt::format(
            "\"{}\" is a thermocouple itself; an rtd or what the device measures would be right",
            found->name);
    if (hot_bus != cold_bus)
        return fmt::format(
            "\"{}\" is on bus \"{}\"; one on the thermocouple's own bus, \"{}\", would be right", found->name,
            cold_bus, hot_bus);
    ColdJunctionChannel junction{static_cast<std::uint8_t>(index), found->name};
    junction.low_milli = std::max(found->span_low_milli, to_milli(kColdestTerminals_c).value_or(0));
    junction.high_milli = std::min(found->span_high_milli, to_milli(kHottestTerminals_c).value_or(0));
    junction.max_age_ms = found->max_age_ms;
    std::get<ThermocoupleSource>(hot->sensor).cold_junction = junction;
    return {};
}

}  // namespace

void read_sensor(JsonObject& channel, ChannelSource& source, std::optional<std::string_view> unit,
                 std::vector<ColdJunctionName>& cold_junctions) {
    static constexpr std::string_view kSensors[] = {"thermocouple", "rtd", "signal", "pulses"};
    if (std::count_if(std::begin(kSensors), std::end(kSensors),
                      [&](std::string_view key) { return channel.has(key); }) > 1) {
        channel.complain_here("has more than one of " + quoted_list(kSensors) + "; one would be right");
    }
    if (auto object = channel.object("thermocouple", kThermocoupleKeys)) {
        need_unit(channel, unit, "°C", "a thermocouple, which gives degrees Celsius");
        read_thermocouple(*object, source, cold_junctions);
    }
    if (auto object = channel.object("rtd", kRtdKeys)) {
        need_unit(channel, unit, "°C", "a resistance thermometer, which gives degrees Celsius");
        read_rtd(*object, source);
    }
    if (auto object = channel.object("signal", kSignalKeys)) read_signal(*object, source);
    if (auto object = channel.object("pulses", kPulsesKeys)) {
        need_unit(channel, unit, "rpm", "pulses, which give turns a minute");
        read_pulses(*object, channel, source);
    }
}

void find_cold_junctions(JsonObject& root, const std::vector<ColdJunctionName>& names, Config& config) {
    for (const ColdJunctionName& name : names) {
        const std::string wrong = take_cold_junction(name, config);
        if (!wrong.empty()) root.mistakes().push_back({name.pointer, wrong, name.place});
    }
}

}  // namespace drumwatch
