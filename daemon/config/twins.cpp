// Twins: two probes in one place.
#include <fmt/format.h>

#include <algorithm>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr double kFahrenheitDegree = 5.0 / 9;

void read_limit(JsonObject& object, Channel& channel, bool fahrenheit) {
    if (!object.has("twin_limit")) return;
    if (!object.has("twin")) {
        object.complain("twin_limit", "has no meaning without \"twin\"; leave it out");
        return;
    }
    double limit = 0;
    if (!object.read("twin_limit", limit, {0.5, 100, fahrenheit ? "°F" : "°C"})) return;
    channel.twin_limit_milli = to_milli(fahrenheit ? limit * kFahrenheitDegree : limit).value_or(0);
}

void read_twin(JsonObject& object, Config& config, std::size_t own) {
    Channel& channel = config.channels[own];
    const JsonNode* node = object.find("unit");
    read_limit(object, channel, node != nullptr && node->text == "°F");
    std::string name;
    if (!object.has("twin") || !object.read("twin", name, 32)) return;
    const auto twin = std::find_if(config.channels.begin(), config.channels.end(),
                                   [&](const Channel& other) { return other.name == name; });
    if (twin == config.channels.end()) {
        object.complain("twin", fmt::format("no channel is called {}", quoted(name)));
    } else if (twin->name == channel.name) {
        object.complain("twin", "is the channel itself; name the other probe in its place");
    } else if (twin->unit != Unit::celsius || channel.unit != Unit::celsius) {
        object.complain("twin", "is for two temperatures; leave it out");
    } else {
        channel.twin = static_cast<std::uint8_t>(twin - config.channels.begin());
    }
}

}  // namespace

void read_twins(JsonObject& root, Config& config) {
    const JsonNode* list = root.find("channels");
    for (std::size_t i = 0; i < config.channels.size(); ++i) {
        std::vector<JsonMistake> said_already;
        JsonObject object(list->items[i], pointer_to(root.pointer("channels"), i), kChannelKeys,
                          said_already);
        const std::size_t before = said_already.size();
        read_twin(object, config, i);
        root.mistakes().insert(root.mistakes().end(),
                               said_already.begin() + static_cast<std::ptrdiff_t>(before),
                               said_already.end());
    }
}

}  // namespace drumwatch
