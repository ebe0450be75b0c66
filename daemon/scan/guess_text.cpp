#include "scan/guess_text.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>

#include "drivers/links/text_line.hpp"
#include "drivers/sensors/sensor_source.hpp"
#include "scan/guess_registers.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMostFields = 64;   // of the configuration
constexpr std::size_t kMostKey = 32;      // likewise
constexpr std::size_t kMostSuffix = 8;    // likewise
constexpr std::size_t kCounterLines = 3;  // with one step between them

std::string_view trimmed(std::string_view text) {
    const std::size_t begin = text.find_first_not_of(" \t\r");
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(" \t\r") - begin + 1);
}

std::vector<std::string_view> fields_of(std::string_view line, char delimiter) {
    std::vector<std::string_view> fields;
    std::string_view rest = delimiter == ' ' ? trimmed(line) : line;
    for (;;) {
        const std::size_t end = rest.find(delimiter);
        fields.push_back(trimmed(rest.substr(0, end)));
        if (end == std::string_view::npos) return fields;
        rest.remove_prefix(end + 1);
        if (delimiter == ' ') rest = trimmed(rest);
    }
}

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/// Where a field's number stands: behind a key, before a unit.
std::optional<TextSource> source_of(std::string_view field, int number) {
    TextSource source;
    source.field = number;
    const std::size_t sign = field.find_first_of("=:");
    if (sign != std::string_view::npos && sign > 0 && is_letter(field[0])) {
        source.key = trimmed(field.substr(0, sign));
        field = trimmed(field.substr(sign + 1));
    }
    const std::size_t digits = field.find_first_not_of("0123456789+-.,");
    if (digits != std::string_view::npos) source.suffix = trimmed(field.substr(digits));
    if (source.key.size() > kMostKey || source.suffix.size() > kMostSuffix) return std::nullopt;
    if (source.suffix.find_first_of("0123456789;|\t") != std::string::npos)
        return std::nullopt;  // not cut right
    return source;
}

ChannelSource channel_of(const TextSource& text, bool fahrenheit) {
    ChannelSource channel;
    channel.text = text;
    channel.unit = fahrenheit ? SourceUnit::fahrenheit : SourceUnit::own;
    return channel;
}

/// Its value in every line; nothing where one line has none.
std::optional<std::vector<double>> values_of(const ChannelSource& channel, const BusConfig& bus,
                                             const std::vector<std::string>& lines) {
    std::vector<double> values;
    for (const std::string& line : lines) {
        const TextValue value = read_text(channel, bus, open_line(bus, line));
        if (!is_good(value.reading.quality)) return std::nullopt;
        values.push_back(from_milli(value.reading.value_milli));
    }
    return values;
}

bool is_counter(const std::vector<double>& values) {
    if (values.size() < kCounterLines) return false;
    const double step = values[1] - values[0];
    if (step == 0) return false;
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (values[i] != std::floor(values[i])) return false;
        if (i > 0 && values[i] - values[i - 1] != step) return false;
    }
    return true;
}

bool is_temperature(const std::vector<double>& values) {
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (values[i] < kPlausibleLow_c || values[i] > kPlausibleHigh_c) return false;
        if (i > 0 && std::fabs(values[i] - values[i - 1]) > kSteadyWithin_c) return false;
    }
    return !values.empty();
}

Checksum checksum_of(const std::vector<std::string>& lines) {
    for (const Checksum kind : {Checksum::xor_sum, Checksum::sum, Checksum::crc16}) {
        BusConfig bus;
        bus.checksum = kind;
        if (std::all_of(lines.begin(), lines.end(), [&](const std::string& line) {
                return open_line(bus, line).fault == LinkFault::none;
            }))
            return kind;
    }
    return Checksum::none;
}

struct Tried {
    TextGuess guess;
    int unreadable = 0;  ///< fields of the newest line that hold no number
};

std::optional<TextFieldGuess> field_guess(const TextSource& source, const BusConfig& bus,
                                          const std::vector<std::string>& lines) {
    const bool says_fahrenheit = source.suffix.ends_with('F');
    for (const bool fahrenheit : {says_fahrenheit, true}) {
        const auto values = values_of(channel_of(source, fahrenheit), bus, lines);
        if (!values || is_counter(*values) || !is_temperature(*values)) continue;
        return TextFieldGuess{source, fahrenheit, values->back()};
    }
    return std::nullopt;
}

Tried try_cut(const std::vector<std::string>& lines, Checksum checksum, char delimiter, bool decimal_comma) {
    BusConfig bus;
    bus.kind = BusKind::serial_text;
    bus.checksum = checksum;
    bus.delimiter = delimiter;
    bus.decimal_comma = decimal_comma;
    Tried tried{{delimiter, decimal_comma, checksum, 0, {}}, 0};
    const auto fields = fields_of(open_line(bus, lines.back()).body, delimiter);
    if (fields.size() > kMostFields) return tried;
    const bool even = std::all_of(lines.begin(), lines.end(), [&](const std::string& line) {
        return fields_of(open_line(bus, line).body, delimiter).size() == fields.size();
    });
    tried.guess.fields = even ? static_cast<int>(fields.size()) : 0;
    for (std::size_t i = 0; i < fields.size(); ++i) {
        const auto source = source_of(fields[i], static_cast<int>(i + 1));
        if (!source || !values_of(channel_of(*source, false), bus, {lines.back()})) ++tried.unreadable;
        if (!source || (source->key.empty() && !even)) continue;
        if (const auto guess = field_guess(*source, bus, lines)) tried.guess.temperatures.push_back(*guess);
    }
    return tried;
}

int worth(const Tried& tried) {
    return 2 * static_cast<int>(tried.guess.temperatures.size()) - tried.unreadable;
}

}  // namespace

TextGuess guess_text(const std::vector<std::string>& lines) {
    if (lines.empty()) return {};
    const Checksum checksum = checksum_of(lines);
    std::optional<Tried> best;
    for (const char delimiter : {',', ';', '\t', ' ', '|'}) {
        for (const bool comma : {false, true}) {
            if (comma && delimiter == ',') continue;
            Tried tried = try_cut(lines, checksum, delimiter, comma);
            if (tried.guess.temperatures.empty()) continue;
            if (!best || worth(tried) > worth(*best)) best = std::move(tried);
        }
    }
    if (!best) return {',', false, checksum, 0, {}};
    return best->guess;
}

bool is_readable(const std::string& line) {
    const auto strange = [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return (byte < 0x20 && c != '\t') || byte > 0x7e;
    };
    return std::none_of(line.begin(), line.end(), strange) &&
           std::any_of(line.begin(), line.end(), [](char c) { return c >= '0' && c <= '9'; });
}

}  // namespace drumwatch
