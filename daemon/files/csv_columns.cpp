#include "files/csv_columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "files/json_object.hpp"

namespace drumwatch {
namespace {

struct Measured {
    std::string name;
    Unit unit;
    bool fahrenheit;
};

constexpr std::pair<std::string_view, Unit> kSuffixes[] = {
    {"c", Unit::celsius},      {"f", Unit::celsius}, {"pct", Unit::percent}, {"rpm", Unit::rpm},
    {"kpa", Unit::kilopascal}, {"ppm", Unit::ppm},   {"g", Unit::gram}};

bool is_channel_name(std::string_view name) {
    const auto fits = [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; };
    return !name.empty() && name[0] >= 'a' && name[0] <= 'z' && std::all_of(name.begin(), name.end(), fits);
}

std::optional<Measured> channel_of(std::string_view column) {
    if (column == "burner" || column == "airflow") return Measured{std::string(column), Unit::none, false};
    if (column == "drum_rpm") return Measured{"drum_speed", Unit::rpm, false};
    const auto underscore = column.rfind('_');
    if (underscore == std::string_view::npos || !is_channel_name(column)) return std::nullopt;
    const std::string_view end = column.substr(underscore + 1);
    std::string name(column.substr(0, underscore));
    const auto role = role_from_name(name);
    for (const auto& [word, unit] : kSuffixes) {
        // A bean column in per cent is no bean temperature: kept, nothing concluded.
        if (end == word && (!role || unit_fits(*role, unit)))
            return Measured{std::move(name), unit, end == "f"};
    }
    return std::nullopt;
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
    return text;
}

std::string found(const Columns& read) {
    std::string out;
    for (const Column& column : read.columns) {
        if (out.size() > 200) return out + ", ...";
        out += (out.empty() ? "" : ", ") + quoted(column.name);
    }
    return "the header row has " + out;
}

Result<Column> make_column(Columns& read, std::string_view name) {
    Column column{std::string(name), ColumnKind::unknown, 0, false};
    const auto same = [&](const Column& other) { return other.name == name; };
    if (!name.empty() && std::any_of(read.columns.begin(), read.columns.end(), same)) {
        return Error{fmt::format("row 1: two columns are called {}", quoted(name))};
    }
    if (name == "elapsed_s") column.kind = ColumnKind::elapsed;
    if (name == "mark") column.kind = ColumnKind::mark;
    const auto measured = column.kind == ColumnKind::unknown ? channel_of(name) : std::nullopt;
    if (!measured) return column;
    for (const Channel& channel : read.channels) {
        if (channel.name != measured->name) continue;
        if (channel.unit == measured->unit) {
            return Error{fmt::format("row 1: {} gives {} a second time", quoted(name), channel.name)};
        }
        return column;  // the same name in another unit: kept as it stands
    }
    if (read.channels.size() == kMaxChannels) {
        read.left_over.push_back(column.name);
        return column;
    }
    column.kind = ColumnKind::channel;
    column.channel = read.channels.size();
    column.fahrenheit = measured->fahrenheit;
    read.channels.push_back(make_channel(measured->name, measured->unit));
    return column;
}

std::optional<Error> what_is_missing(const std::vector<std::string_view>& header, const Columns& read) {
    const auto is_elapsed = [](const Column& column) { return column.kind == ColumnKind::elapsed; };
    std::string hint;
    if (header.size() == 1 && header[0].find(';') != std::string_view::npos) {
        hint = "; the cells seem to be parted by semicolons, and must be by commas";
    }
    if (std::none_of(read.columns.begin(), read.columns.end(), is_elapsed)) {
        return Error{"row 1: no column \"elapsed_s\" (seconds from the first row); " + found(read) + hint};
    }
    if (!find_role(read.channels, Role::bean)) {
        return Error{"row 1: no bean temperature, \"bean_c\" or \"bean_f\"; " + found(read) + hint};
    }
    return std::nullopt;
}

}  // namespace

Result<Columns> read_columns(const std::vector<std::string_view>& header) {
    Columns read;
    for (const std::string_view cell : header) {
        auto column = make_column(read, trimmed(cell));
        if (!column) return Error{column.error()};
        read.columns.push_back(std::move(column.value()));
    }
    if (const auto error = what_is_missing(header, read)) return *error;
    return read;
}

std::string column_name(const Channel& channel) {
    if (channel.name == "drum_speed" && channel.unit == Unit::rpm) return "drum_rpm";
    if (channel.unit == Unit::none) return channel.name;
    return channel.name + "_" + std::string(suffix(channel.unit));
}

}  // namespace drumwatch
