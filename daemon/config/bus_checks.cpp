// What can only be said of a bus once its channels and buttons are known.
#include "config/bus_checks.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "config/parts.hpp"
#include "core/counted.hpp"
#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_plan.hpp"

namespace drumwatch {
namespace {

constexpr std::uint8_t kHighestOnLine = 247;  // MODBUS over Serial Line V1.02, section 2.2

const JsonNode* find(const JsonNode* object, std::string_view key) {
    if (object == nullptr) return nullptr;
    const auto at = std::find_if(object->items.begin(), object->items.end(),
                                 [&](const JsonNode& item) { return item.key == key; });
    return at == object->items.end() ? nullptr : &*at;
}

/// The item of a list of the root, and its pointer.
struct Item {
    const JsonNode* node;
    std::string pointer;
};

Item item_of(JsonObject& root, std::string_view list, std::size_t index) {
    return {&root.find(list)->items[index], pointer_to(root.pointer(list), index)};
}

/// At `keys`, one within the other, as far as they are there.
void complain_at(JsonObject& root, Item item, std::initializer_list<std::string_view> keys,
                 std::string message) {
    for (const std::string_view key : keys) {
        const JsonNode* inner = find(item.node, key);
        item.pointer = pointer_to(item.pointer, key);
        if (inner != nullptr) item.node = inner;
    }
    root.mistakes().push_back({item.pointer, std::move(message), item.node->place});
}

std::string no_such_unit(std::uint8_t unit_id) {
    return fmt::format("is {}; on a serial line 1 to 247 would be right", unit_id);
}

void check_channels(JsonObject& root, const BusConfig& bus) {
    for (const ChannelSource& source : bus.channels) {
        const Item item = item_of(root, "channels", source.channel);
        if (bus.kind == BusKind::modbus_rtu && source.modbus && source.modbus->unit_id > kHighestOnLine)
            complain_at(root, item, {"modbus", "unit_id"}, no_such_unit(source.modbus->unit_id));
        if (!has_lines(bus.kind) || !source.text) continue;
        const TextSource& text = *source.text;
        if (bus.fields > 0 && text.key.empty() && text.field > bus.fields)
            complain_at(root, item, {"text", "field"},
                        fmt::format("is {}, and a line of bus \"{}\" has {}", text.field, bus.name,
                                    counted(static_cast<std::size_t>(bus.fields), "field")));
        for (const auto& [key, word] : {std::pair{"key", &text.key}, std::pair{"suffix", &text.suffix}})
            if (word->find(bus.delimiter) != std::string::npos)
                complain_at(root, item, {"text", key},
                            fmt::format("has the delimiter of bus \"{}\" in it", bus.name));
    }
}

bool uses(const BusConfig& bus, std::int64_t unit_id) {
    const auto of_channel = [&](const ChannelSource& source) {
        return source.modbus && source.modbus->unit_id == unit_id;
    };
    const auto of_input = [&](const DiscreteInput& input) { return input.unit_id == unit_id; };
    return std::any_of(bus.channels.begin(), bus.channels.end(), of_channel) ||
           std::any_of(bus.discrete_inputs.begin(), bus.discrete_inputs.end(), of_input);
}

void check_units(JsonObject& root, const BusConfig& bus, const Item& item) {
    const JsonNode* units = find(item.node, "units");
    if (units == nullptr || !is_modbus(bus.kind)) return;
    for (std::size_t i = 0; i < units->items.size(); ++i) {
        const JsonNode* unit_id = find(&units->items[i], "unit_id");
        // What is no unit at all is said already.
        if (unit_id == nullptr || unit_id->kind != JsonKind::integer || unit_id->integer < 1 ||
            unit_id->integer > 255 || uses(bus, unit_id->integer))
            continue;
        root.mistakes().push_back(
            {pointer_to(pointer_to(pointer_to(item.pointer, "units"), i), "unit_id"),
             fmt::format("is {}, and no channel or button of bus \"{}\" is on that unit", unit_id->integer,
                         bus.name),
             unit_id->place});
    }
}

void check_buttons(JsonObject& root, const Config& config) {
    for (std::size_t i = 0; i < config.buttons.size(); ++i) {
        const ButtonConfig& button = config.buttons[i];
        if (!button.bus) continue;
        const BusConfig& bus = config.buses[*button.bus];
        const std::uint8_t unit_id = bus.discrete_inputs[button.input].unit_id;
        if (bus.kind == BusKind::modbus_rtu && unit_id > kHighestOnLine)
            complain_at(root, item_of(root, "buttons", i), {"unit_id"}, no_such_unit(unit_id));
    }
}

std::chrono::milliseconds least_poll(const BusConfig& bus) {
    std::chrono::microseconds least{0};
    for (const ReadGroup& group : plan_reads(bus)) {
        const ModbusQuestion question =
            read_question(group.unit_id, group.table, group.address(), group.count());
        least += wire_time(bus.baud, sizeof(RtuRequest) + rtu_reply_length(question, {})) +
                 2 * frame_silence(bus.baud);
    }
    return std::chrono::ceil<std::chrono::milliseconds>(least);
}

}  // namespace

void check_buses(JsonObject& root, Config& config) {
    for (std::size_t i = 0; i < config.buses.size(); ++i) {
        BusConfig& bus = config.buses[i];
        for (ChannelSource& source : bus.channels) {
            source.span_low_milli = config.channels[source.channel].span_low_milli;
            source.span_high_milli = config.channels[source.channel].span_high_milli;
        }
        check_channels(root, bus);
        check_units(root, bus, item_of(root, "buses", i));
    }
    check_buttons(root, config);
}

std::vector<std::string> bus_notes(const Config& config) {
    std::vector<std::string> notes;
    for (const BusConfig& bus : config.buses) {
        if (bus.kind != BusKind::modbus_rtu) continue;
        const auto groups = plan_reads(bus);
        if (const auto least = least_poll(bus); least.count() > config.tick_ms)
            notes.push_back(fmt::format(
                "bus \"{}\": reading all its channels takes {} ms or more at {} baud, longer than a tick "
                "({} ms): raise baud or tick_ms, or put the registers closer together",
                bus.name, least.count(), bus.baud, config.tick_ms));
        const bool alone = std::all_of(groups.begin(), groups.end(), [&](const ReadGroup& group) {
            return group.unit_id == groups.front().unit_id;
        });
        if (!alone && bus.timeout_ms > config.tick_ms)
            notes.push_back(fmt::format(
                "bus \"{}\": a question to a silent unit takes {} ms, longer than a tick ({} ms), and the "
                "other units wait for it; a unit that answers sooner can have a shorter timeout_ms",
                bus.name, bus.timeout_ms, config.tick_ms));
    }
    return notes;
}

}  // namespace drumwatch
