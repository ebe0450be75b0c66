// Push-buttons: lines of the box, or discrete inputs on a bus.
#include <fmt/format.h>

#include <algorithm>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxButtons = 16;
constexpr std::string_view kMeanings[] = {"acknowledge", "silence", "next_mark", "move_done"};
constexpr std::string_view kBiases[] = {"as_is", "none", "up", "down"};

void refuse_keys(JsonObject& object, std::string_view where, std::initializer_list<std::string_view> keys) {
    for (const std::string_view key : keys) {
        if (object.has(key))
            object.complain(key, fmt::format("has no meaning for a button {}; leave it out", where));
    }
}

bool has_needed(JsonObject& object, std::string_view where, std::string_view key) {
    if (object.has(key)) return true;
    object.complain(key, fmt::format("is missing; a button {} needs it", where));
    return false;
}

void read_line(JsonObject& object, ButtonConfig& button, const Config& config) {
    constexpr std::string_view kWhere = "on a line";
    refuse_keys(object, kWhere, {"discrete_input", "unit_id"});
    if (const auto bias = object.choice("bias", kBiases)) button.line.bias = static_cast<PullResistor>(*bias);
    object.read("debounce_ms", button.line.debounce_ms, {0, 500, "ms"});
    if (!has_needed(object, kWhere, "line")) return;
    const auto place = read_gpio_place(object);
    if (!place) return;
    if (const std::string user = user_of(*place, config); !user.empty())
        object.complain("line", fmt::format("{} is on this line already; each needs one of its own", user));
    button.line.line = *place;
}

void read_discrete_input(JsonObject& object, ButtonConfig& button, Config& config) {
    constexpr std::string_view kWhere = "on a bus";
    refuse_keys(object, kWhere, {"line", "active_low", "bias", "debounce_ms"});
    DiscreteInput input;
    std::int64_t address = 0;
    const bool has_address =
        has_needed(object, kWhere, "discrete_input") && object.read("discrete_input", address, {0, 65535});
    read_unit_id(object, input.unit_id);
    const auto bus = bus_named(object, "bus", config);
    if (!bus || !has_address) return;
    input.address = static_cast<std::uint16_t>(address);
    BusConfig& owner = config.buses[*bus];
    if (!is_modbus(owner.kind) && owner.kind != BusKind::playback) {
        object.complain(
            "bus",
            fmt::format("{} has no discrete inputs; a modbus_tcp, modbus_rtu or playback bus would be right",
                        quoted(owner.name)));
        return;
    }
    auto& inputs = owner.discrete_inputs;
    if (std::find(inputs.begin(), inputs.end(), input) != inputs.end())
        object.complain("discrete_input", "another button is on this input already");
    button.bus = *bus;
    button.input = inputs.size();
    inputs.push_back(input);
}

void read_button(JsonObject& object, Config& config) {
    ButtonConfig button;
    if (const auto meaning = object.choice("meaning", kMeanings)) {
        button.meaning = static_cast<ButtonMeaning>(*meaning);
        button.name = kMeanings[*meaning];
    }
    button.name = read_name_or(object, std::move(button.name));
    if (object.has("chip") == object.has("bus"))
        object.complain_here(
            "give either \"chip\" and \"line\" (a line of the box) or \"bus\" and \"discrete_input\"");
    else if (object.has("chip"))
        read_line(object, button, config);
    else
        read_discrete_input(object, button, config);
    button.line.name = button.name;
    button.line.meaning = button.meaning;
    config.buttons.push_back(std::move(button));
}

}  // namespace

void read_buttons(JsonObject& root, Config& config) {
    const auto items = root.list("buttons", 0, kMaxButtons);
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject object(items[i], pointer_to(root.pointer("buttons"), i), kButtonKeys, root.mistakes());
        read_button(object, config);
    }
}

}  // namespace drumwatch
