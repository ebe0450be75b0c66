// Sounders, lights and the heartbeat: everything that Drumwatch switches.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr std::string_view kKinds[] = {"coil", "gpio", "command"};
constexpr std::string_view kIndicators[] = {"buzzer", "red", "yellow", "blue", "white"};
constexpr std::string_view kOnSilence[] = {"off", "box_dead"};
constexpr std::size_t kMostArguments = 32;

void refuse_keys(JsonObject& object, std::string_view kind, std::initializer_list<std::string_view> keys) {
    for (const std::string_view key : keys) {
        if (object.has(key))
            object.complain(key, fmt::format("has no meaning for a {} sounder; leave it out", kind));
    }
}

bool need_keys(JsonObject& object, std::string_view kind, std::initializer_list<std::string_view> keys) {
    bool all = true;
    for (const std::string_view key : keys) {
        if (!object.has(key)) object.complain(key, fmt::format("is missing; a {} sounder needs it", kind));
        all = all && object.has(key);
    }
    return all;
}

void read_coil(JsonObject& object, SounderConfig& sounder, Config& config) {
    refuse_keys(object, "coil", {"chip", "line", "active_low", "command", "limit_s", "voice", "on_silence"});
    if (const auto what = object.choice("what", kIndicators)) sounder.what = static_cast<Indicator>(*what);
    if (!need_keys(object, "coil", {"bus", "coil"})) return;
    sounder.coil = claim_coil(object, config);
    if (!sounder.coil) return;
    const std::string_view what = kIndicators[static_cast<std::size_t>(sounder.what)];
    sounder.name = fmt::format("{}{}, coil {} of {}", what, sounder.what == Indicator::buzzer ? "" : " light",
                               sounder.coil->address, config.buses[sounder.coil->bus].name);
}

void read_voice(JsonObject& object, SounderOutput& output) {
    std::int64_t voice = output.voice;
    if (object.read("voice", voice, {1, 4})) output.voice = static_cast<int>(voice);
    if (const auto silence = object.choice("on_silence", kOnSilence))
        output.on_silence = static_cast<OnSilence>(*silence);
}

void read_gpio(JsonObject& object, SounderConfig& sounder, const Config& config) {
    refuse_keys(object, "gpio", {"bus", "coil", "what", "command", "limit_s"});
    sounder.output.kind = SounderKind::gpio;
    read_voice(object, sounder.output);
    if (!need_keys(object, "gpio", {"chip", "line"})) return;
    const auto place = read_gpio_place(object);
    if (!place) return;
    if (const std::string user = user_of(*place, config); !user.empty())
        object.complain("line", fmt::format("{} is on this line already; each needs one of its own", user));
    sounder.output.line = *place;
    sounder.name = fmt::format("line {} of {}", place->offset, place->chip);
}

bool read_command_words(JsonObject& object, std::vector<std::string>& command) {
    const auto items = object.list("command", 1, kMostArguments);
    for (std::size_t i = 0; i < items.size(); ++i) {
        const bool fits = items[i].kind == JsonKind::text && items[i].text.size() <= 1024 &&
                          items[i].text.find('\0') == std::string::npos;
        if (!fits) {
            object.mistakes().push_back({pointer_to(object.pointer("command"), i),
                                         "must be text of at most 1024 bytes", items[i].place});
            return false;
        }
        command.push_back(items[i].text);
    }
    if (command.empty()) return false;
    if (command.front().starts_with('/')) return true;
    object.mistakes().push_back(
        {pointer_to(object.pointer("command"), 0),
         fmt::format("is {}; the program's whole path would be right, such as \"/usr/bin/...\": no shell "
                     "looks for it",
                     quoted(command.front())),
         items.front().place});
    return false;
}

void read_command(JsonObject& object, SounderConfig& sounder) {
    refuse_keys(object, "command", {"bus", "coil", "what", "chip", "line", "active_low"});
    sounder.output.kind = SounderKind::command;
    read_voice(object, sounder.output);
    double limit_s = static_cast<double>(sounder.output.limit_ms) / 1000;
    if (object.read("limit_s", limit_s, {0.1, 60, "s"}))
        sounder.output.limit_ms = static_cast<std::int64_t>(limit_s * 1000);
    if (!need_keys(object, "command", {"command"})) return;
    if (read_command_words(object, sounder.output.command)) sounder.name = sounder.output.command.front();
}

void check_name(JsonObject& object, const std::string& name, const Config& config) {
    const auto same = [&](const SounderConfig& other) { return other.name == name; };
    if (name.empty() || std::none_of(config.sounders.begin(), config.sounders.end(), same)) return;
    object.complain("name",
                    fmt::format("another sounder is called {} already; give each a \"name\"", quoted(name)));
}

void read_sounder(JsonObject& object, Config& config) {
    SounderConfig sounder;
    const auto kind = object.choice("kind", kKinds);
    if (kind == std::size_t{0}) read_coil(object, sounder, config);
    if (kind == std::size_t{1}) read_gpio(object, sounder, config);
    if (kind == std::size_t{2}) read_command(object, sounder);
    sounder.name = read_name_or(object, std::move(sounder.name));
    check_name(object, sounder.name, config);
    sounder.output.name = sounder.name;
    config.sounders.push_back(std::move(sounder));
}

/// A file from before there were several.
void read_one_coil(JsonObject& root, Config& config) {
    auto object = root.object("sounder", kCoilKeys);
    if (!object) return;
    SounderConfig sounder;
    sounder.name = "sounder";
    sounder.output.name = sounder.name;
    sounder.coil = claim_coil(*object, config);
    if (sounder.coil) config.sounders.push_back(std::move(sounder));
}

std::string user_of(const CoilConfig& coil, const Config& config) {
    for (const SounderConfig& sounder : config.sounders) {
        if (sounder.coil != coil) continue;
        return sounder.name == "sounder" ? "the sounder"
                                         : fmt::format("the sounder {}", quoted(sounder.name));
    }
    return "something else";
}

void read_test_time(JsonObject& root, Config& config) {
    std::string text;
    if (!root.read("sounder_test_at", text, 5)) return;
    config.sounder_test_at.reset();
    if (text == "never") return;
    const auto digits = [&](std::size_t at) {
        const bool both = text.size() == 5 && text[at] >= '0' && text[at] <= '9' && text[at + 1] >= '0' &&
                          text[at + 1] <= '9';
        return both ? (text[at] - '0') * 10 + (text[at + 1] - '0') : -1;
    };
    const int hours = digits(0);
    const int minutes = digits(3);
    if (hours >= 0 && hours < 24 && minutes >= 0 && minutes < 60 && text[2] == ':')
        config.sounder_test_at = hours * 60 + minutes;
    else
        root.complain("sounder_test_at",
                      fmt::format("is {}; a time of day such as \"05:30\", or \"never\", would be right",
                                  quoted(text)));
}

}  // namespace

std::string_view kind_name(const SounderConfig& sounder) {
    if (sounder.coil) return kKinds[0];
    return sounder.output.kind == SounderKind::gpio ? kKinds[1] : kKinds[2];
}

std::optional<CoilConfig> claim_coil(JsonObject& object, Config& config) {
    CoilConfig coil;
    std::int64_t address = 0;
    const bool has_address = object.read("coil", address, {0, 65535});
    const auto bus = bus_named(object, "bus", config);
    if (!bus || !has_address) return std::nullopt;
    coil.bus = *bus;
    coil.address = static_cast<std::uint16_t>(address);
    BusConfig& owner = config.buses[*bus];
    if (!is_modbus(owner.kind)) {
        object.complain("bus", fmt::format("{} has no coils; a modbus_tcp or modbus_rtu bus would be right",
                                           quoted(owner.name)));
        return std::nullopt;
    }
    auto& coils = owner.writable_coils;
    if (std::find(coils.begin(), coils.end(), coil.address) != coils.end()) {
        object.complain("coil", fmt::format("{} is on this coil already; each needs one of its own",
                                            user_of(coil, config)));
        return std::nullopt;
    }
    coils.push_back(coil.address);
    return coil;
}

std::optional<GpioPlace> read_gpio_place(JsonObject& object) {
    GpioPlace place;
    std::int64_t line = 0;
    const bool has_line = object.read("line", line, {0, 1023});
    object.read("active_low", place.active_low);
    if (!object.read("chip", place.chip, 255) || !has_line) return std::nullopt;
    place.offset = static_cast<std::uint32_t>(line);
    if (place.chip.starts_with('/')) return place;
    object.complain("chip", fmt::format("is {}; the whole path of the chip's device would be right, such as "
                                        "\"/dev/gpiochip0\"",
                                        quoted(place.chip)));
    return std::nullopt;
}

std::string user_of(const GpioPlace& place, const Config& config) {
    const auto same = [&](const GpioPlace& other) {
        return other.chip == place.chip && other.offset == place.offset;
    };
    for (const SounderConfig& sounder : config.sounders) {
        if (!sounder.coil && sounder.output.kind == SounderKind::gpio && same(sounder.output.line))
            return fmt::format("the sounder {}", quoted(sounder.name));
    }
    for (const ButtonConfig& button : config.buttons) {
        if (!button.bus && same(button.line.line)) return fmt::format("the button {}", quoted(button.name));
    }
    return {};
}

std::string read_name_or(JsonObject& object, std::string otherwise) {
    std::string name;
    return object.read("name", name, 40) ? name : otherwise;
}

void read_sounders(JsonObject& root, Config& config) {
    if (root.has("sounder") && root.has("sounders")) {
        root.complain(
            "sounders",
            "\"sounder\" is there too: give either \"sounder\" (one coil) or \"sounders\" (a list)");
    }
    if (!root.has("sounders")) read_one_coil(root, config);
    const auto items = root.list("sounders", 0, kMaxSounders);
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject object(items[i], pointer_to(root.pointer("sounders"), i), kSounderKeys, root.mistakes());
        read_sounder(object, config);
    }
    read_test_time(root, config);
    root.read("chirp_at_start", config.chirp_at_start);
    root.read("chime_prompts", config.chime_prompts);
}

void read_heartbeat(JsonObject& root, Config& config) {
    auto object = root.object("heartbeat", kCoilKeys);
    if (object) config.heartbeat = claim_coil(*object, config);
}

}  // namespace drumwatch
