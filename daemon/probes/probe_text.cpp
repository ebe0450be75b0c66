#include "probes/probe_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/words.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kColumns = 10;
using Row = std::array<std::string, kColumns>;

/// Columns that a terminal takes: bytes but for those that go on with a character (UTF-8).
std::size_t width(const std::string& text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char byte) { return (byte & 0xC0) != 0x80; }));
}

/// What a device sent must move no cursor.
std::string printable(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        out += byte >= 0x20 && byte < 0x7f ? std::string(1, c) : fmt::format("\\x{:02x}", byte);
    }
    return out;
}

std::string fault_words(const FaultCounts& faults) {
    std::string text;
    for (std::size_t i = 1; i < kLinkFaults; ++i) {
        if (faults[i] == 0) continue;
        text += fmt::format("{}{} {}", text.empty() ? "" : ", ", name(static_cast<LinkFault>(i)), faults[i]);
    }
    return text.empty() ? "-" : text;
}

std::string tolerance_words(const ProbeLine& line) {
    std::string text;
    for (const ProbeTolerance& one : line.tolerances)
        text += fmt::format("{}±{:.1f} class {}", text.empty() ? "" : ", ", one.plus_minus_c,
                            one.tolerance_class);
    return text.empty() ? "-" : text;
}

std::string trip_words(const BusCounters& bus) {
    if (bus.median_round_trip_us == 0) return "-";
    return fmt::format("{:.1f} / {:.1f}", static_cast<double>(bus.median_round_trip_us) / 1000,
                       static_cast<double>(bus.worst_round_trip_us) / 1000);
}

Row row_of(const ProbeLine& line, const ProbeBus& bus) {
    return {line.name,
            bus.name,
            raw_words(line.raw),
            has_value(line.quality)
                ? fmt::format("{:.2f} {}", from_milli(line.value_milli), symbol(line.unit))
                : "-",
            tolerance_words(line),
            std::string(words(line.quality)),
            line.age_ms ? fmt::format("{:.1f}", static_cast<double>(*line.age_ms) / 1000) : "-",
            fmt::format("{}", line.readings),
            trip_words(bus.counters),
            fault_words(line.faults)};
}

std::string lined_up(const std::vector<Row>& rows) {
    std::array<std::size_t, kColumns> widths{};
    for (const Row& row : rows)
        for (std::size_t i = 0; i < kColumns; ++i) widths[i] = std::max(widths[i], width(row[i]));
    std::string text;
    for (const Row& row : rows) {
        for (std::size_t i = 0; i < kColumns; ++i) {
            text += row[i];
            if (i + 1 < kColumns) text.append(widths[i] - width(row[i]) + 2, ' ');
        }
        text += '\n';
    }
    return text;
}

std::string bus_line(const ProbeBus& bus) {
    return fmt::format("bus {} ({}): {}, {} polls, {} failed, faults: {}\n", bus.name, bus.where,
                       bus.counters.up ? "answers" : "does not answer", bus.counters.polls,
                       bus.counters.failures, fault_words(bus.counters.faults));
}

}  // namespace

std::string raw_words(const RawValue& raw) {
    switch (raw.kind) {
        case RawValue::Kind::none:
            return "-";
        case RawValue::Kind::one_word:
            return fmt::format("{:04x}", raw.words[0]);
        case RawValue::Kind::two_words:
            return fmt::format("{:04x} {:04x}", raw.words[0], raw.words[1]);
        case RawValue::Kind::text:
            return fmt::format("\"{}\"", printable(raw.text()));
    }
    return "-";
}

std::string probe_table(const ProbeView& view, const std::string& station) {
    std::vector<Row> rows{{"probe", "bus", "raw", "value", "tolerance °C", "state", "age s", "polls",
                           "trip ms median / worst", "errors"}};
    for (const ProbeLine& line : view.lines) rows.push_back(row_of(line, view.buses[line.bus]));
    std::string text = station + "\n\n" + lined_up(rows) + "\n";
    for (const ProbeBus& bus : view.buses) text += bus_line(bus);
    for (const ProbeComplaint& one : complaints_of(view)) {
        text += fmt::format("\n{}: {}\n", one.who, printable(one.text));
        if (!one.look_first.empty()) text += fmt::format("    look first: {}\n", one.look_first);
    }
    return text;
}

}  // namespace drumwatch
