#include "scan/scan_result.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "config/first_config.hpp"
#include "core/channel.hpp"
#include "core/counted.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kShown = 24;  // guesses in the report

constexpr std::array kTables{"input", "holding", "discrete"};
constexpr std::array kTypes{"int16", "uint16", "int32", "uint32", "float32"};
constexpr std::array kOrders{"ABCD", "CDAB", "BADC", "DCBA"};
constexpr std::array kParities{"none", "even", "odd"};
constexpr std::array kChecksums{"none", "xor", "sum", "crc16"};

template <typename Names, typename Value>
const char* word(const Names& names, Value value) {
    return names[static_cast<std::size_t>(value)];
}

std::string quoted(const std::string& text) {
    return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::string probe_name(std::size_t index) {
    return index == 0 ? std::string("bean") : fmt::format("probe_{}", index + 1);
}

/// "0 to 3, 7"
std::string ranges(const std::map<std::uint16_t, std::uint16_t>& words) {
    std::string text;
    for (auto at = words.begin(); at != words.end();) {
        const int first = at->first;
        int last = first;
        for (++at; at != words.end() && at->first == last + 1; ++at) last = at->first;
        text += (text.empty() ? "" : ", ") +
                (first == last ? fmt::format("{}", first) : fmt::format("{} to {}", first, last));
    }
    return text;
}

std::string unit_list(const std::vector<std::uint8_t>& units) {
    std::string text;
    for (const std::uint8_t unit : units) text += fmt::format("{}{}", text.empty() ? "" : ", ", unit);
    return text;
}

std::string place(const ScanResult& result) {
    const BusConfig& bus = result.bus;
    if (bus.kind == BusKind::modbus_tcp) return fmt::format("{}:{}", bus.host, bus.port);
    if (bus.kind == BusKind::serial_text) return fmt::format("{}, {} baud", bus.device, bus.baud);
    return fmt::format("{}, {} baud, parity {}, {}", bus.device, bus.baud, word(kParities, bus.parity),
                       counted(bus.stop_bits, "stop bit"));
}

std::string report_of_units(const ScanResult& result) {
    std::string text =
        fmt::format("// {}: Modbus unit {} answers.\n", place(result), unit_list(result.units));
    if (!result.same_as_first.empty())
        text += fmt::format(
            "// Unit {} shows the registers of unit {}: the device does not look at the unit id.\n",
            unit_list(result.same_as_first), result.units.front());
    for (const RegisterImage& image : result.images)
        text += fmt::format("// unit {}, {} registers that are there: {}\n", image.unit_id,
                            word(kTables, image.table), ranges(image.first));
    return text;
}

std::string line_of(const RegisterGuess& guess) {
    std::string text = fmt::format("//   unit {}, {} {}: {:.2f} °C as {}; {}", guess.unit_id,
                                   word(kTables, guess.table), guess.address, guess.celsius,
                                   words(guess.form), guess.moved ? "it moves" : "it stood still");
    for (const RegisterGuess& other : guess.others)
        text += fmt::format("; or {:.2f} °C as {}", other.celsius, words(other.form));
    if (guess.shown_before) text += "; shown above in another form";
    return text + "\n";
}

std::string report_of_guesses(const std::vector<RegisterGuess>& guesses) {
    if (guesses.empty()) return "// No register holds a plausible temperature.\n";
    std::string text = "// Plausible temperatures, the likeliest first:\n";
    const bool any = std::any_of(guesses.begin(), guesses.end(), is_likely);
    std::size_t shown = 0;
    for (const RegisterGuess& guess : guesses) {
        if (shown == kShown || (any && !is_likely(guess))) continue;
        text += line_of(guess);
        ++shown;
    }
    if (shown < guesses.size())
        text += fmt::format("//   and {} (--json prints them)\n",
                            counted(guesses.size() - shown, "doubtful one"));
    return text;
}

std::string report_of_text(const ScanResult& result) {
    std::string text =
        fmt::format("// {}: lines of text, the newest: {}\n", place(result), quoted(result.newest_line));
    const TextGuess& guess = *result.text;
    if (guess.temperatures.empty()) return text + "// No field of it is a plausible temperature.\n";
    text += "// Plausible temperatures:\n";
    for (const TextFieldGuess& one : guess.temperatures) {
        const std::string which = one.source.key.empty() ? fmt::format("field {}", one.source.field)
                                                         : fmt::format("key {}", quoted(one.source.key));
        text +=
            fmt::format("//   {}: {:.2f} °C{}\n", which, one.celsius, one.fahrenheit ? ", sent as °F" : "");
    }
    return text;
}

std::string modbus_channel(const RegisterGuess& guess) {
    const bool wide = guess.form.type >= DataType::int32;
    return fmt::format(
        "\"unit\": \"{}\",{}\n      \"modbus\": {{ \"table\": \"{}\", \"address\": {}, \"unit_id\": {}, "
        "\"type\": \"{}\"{} }} }}",
        guess.form.fahrenheit ? "°F" : "°C",
        guess.form.scale == 1 ? "" : fmt::format(" \"scale\": {},", guess.form.scale),
        word(kTables, guess.table), guess.address, guess.unit_id, word(kTypes, guess.form.type),
        wide ? fmt::format(", \"order\": \"{}\"", word(kOrders, guess.form.order)) : "");
}

std::string text_channel(const TextFieldGuess& guess) {
    const std::string which = guess.source.key.empty() ? fmt::format("\"field\": {}", guess.source.field)
                                                       : fmt::format("\"key\": {}", quoted(guess.source.key));
    const std::string suffix =
        guess.source.suffix.empty() ? "" : fmt::format(", \"suffix\": {}", quoted(guess.source.suffix));
    return fmt::format("\"unit\": \"{}\", \"text\": {{ {}{} }} }}", guess.fahrenheit ? "°F" : "°C", which,
                       suffix);
}

std::string text_keys(const TextGuess& guess) {
    std::string keys = fmt::format(", \"delimiter\": {}", quoted(std::string(1, guess.delimiter)));
    if (guess.decimal_comma) keys += ", \"decimal\": \"comma\"";
    if (guess.checksum != Checksum::none)
        keys += fmt::format(", \"checksum\": \"{}\"", word(kChecksums, guess.checksum));
    if (guess.fields > 0) keys += fmt::format(", \"fields\": {}", guess.fields);
    return keys;
}

nlohmann::ordered_json guess_json(const RegisterGuess& guess) {
    return {{"unit_id", guess.unit_id},
            {"table", word(kTables, guess.table)},
            {"address", guess.address},
            {"type", word(kTypes, guess.form.type)},
            {"order", word(kOrders, guess.form.order)},
            {"scale", guess.form.scale},
            {"unit", guess.form.fahrenheit ? "°F" : "°C"},
            {"celsius", guess.celsius},
            {"moved", guess.moved},
            {"shown_before", guess.shown_before},
            {"points", guess.points}};
}

}  // namespace

std::vector<RegisterGuess> ScanResult::chosen() const {
    std::vector<RegisterGuess> list;
    const bool any = std::any_of(guesses.begin(), guesses.end(), is_likely);
    for (const RegisterGuess& guess : guesses)
        if (!guess.shown_before && (!any || is_likely(guess))) list.push_back(guess);
    return list;
}

std::string scan_report(const ScanResult& result) {
    return result.text ? report_of_text(result) : report_of_units(result) + report_of_guesses(result.guesses);
}

std::string scan_bus(const ScanResult& result) {
    const BusConfig& bus = result.bus;
    const std::string head = "    { \"name\": \"machine\", ";
    if (bus.kind == BusKind::modbus_tcp)
        return head + fmt::format("\"kind\": \"modbus_tcp\", \"host\": {}, \"port\": {} }}", quoted(bus.host),
                                  bus.port);
    const std::string device = fmt::format("\"device\": {}, \"baud\": {}", quoted(bus.device), bus.baud);
    if (bus.kind == BusKind::serial_text)
        return head +
               fmt::format("\"kind\": \"serial_text\", {}{} }}", device, text_keys(result.text.value()));
    return head + fmt::format("\"kind\": \"modbus_rtu\", {}, \"parity\": \"{}\", \"stop_bits\": {} }}",
                              device, word(kParities, bus.parity), bus.stop_bits);
}

std::string scan_channels(const ScanResult& result) {
    std::string text =
        "    // Found by a scan. Which is which must be found by warming the tips: only then is \"bean\" the "
        "bean probe.\n";
    const auto chosen = result.chosen();
    const std::size_t count =
        std::min(result.text ? result.text->temperatures.size() : chosen.size(), kMaxChannels);
    if (count == 0) return "";
    for (std::size_t i = 0; i < count; ++i) {
        text += fmt::format("    {{ \"name\": \"{}\", \"bus\": \"machine\", ", probe_name(i));
        text += result.text ? text_channel(result.text->temperatures[i]) : modbus_channel(chosen[i]);
        if (i + 1 < count) text += ",\n";
    }
    return text;
}

std::string scan_configuration(const ScanResult& result) {
    if (result.temperatures() == 0) return "";
    FirstAnswers answers;
    answers.found_buses = scan_bus(result);
    answers.found_channels = scan_channels(result);
    return first_config(answers);
}

std::string scan_json(const ScanResult& result) {
    using Json = nlohmann::ordered_json;
    Json registers = Json::array();
    for (const RegisterImage& image : result.images) {
        Json words = Json::array();
        for (const auto& [address, value] : image.first) words.push_back({address, value});
        registers.push_back(
            {{"unit_id", image.unit_id}, {"table", word(kTables, image.table)}, {"words", words}});
    }
    Json guesses = Json::array();
    for (const RegisterGuess& guess : result.guesses) {
        Json one = guess_json(guess);
        one["others"] = Json::array();
        for (const RegisterGuess& other : guess.others) one["others"].push_back(guess_json(other));
        guesses.push_back(one);
    }
    Json fields = Json::array();
    if (result.text)
        for (const TextFieldGuess& one : result.text->temperatures)
            fields.push_back({{"field", one.source.field},
                              {"key", one.source.key},
                              {"suffix", one.source.suffix},
                              {"unit", one.fahrenheit ? "°F" : "°C"},
                              {"celsius", one.celsius}});
    const Json all = {{"where", place(result)},
                      {"units", result.units},
                      {"same_as_first", result.same_as_first},
                      {"registers", registers},
                      {"guesses", guesses},
                      {"newest_line", result.newest_line},
                      {"fields", fields},
                      {"configuration", scan_configuration(result)}};
    return all.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace drumwatch
