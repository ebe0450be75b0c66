// Roast files: RFC 4180 CSV, UTF-8, `.csv` or `.csv.gz`, header row names the columns (README "Files"):
// elapsed_s, then channels with their unit as suffix (bean_c, exhaust_f, burner_pct ...), and `mark`.
// Fahrenheit is turned into Celsius.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/channel.hpp"
#include "core/milestone.hpp"
#include "core/result.hpp"

namespace drumwatch {

struct RoastRow {
    std::int64_t elapsed_ms = 0;               ///< since the first row; never decreasing
    std::vector<std::optional<Milli>> values;  ///< one a channel; nothing: a missing reading
    std::optional<Milestone> mark;
};

struct RoastFile {
    ChannelTable channels;  ///< at most kMaxChannels; unknown columns are kept beside
    std::vector<RoastRow> rows;
    std::vector<std::string> unknown_columns;             ///< their names, in order
    std::vector<std::vector<std::string>> unknown_cells;  ///< one list a row; empty without such columns
    std::vector<std::string> warnings;  ///< e.g. "row 812: bean_c is not a number (\"n/a\"): read as missing"
};

/// Unpacked at most 256 MiB, 2 million rows, 20 million cells. Rows are numbered as a spreadsheet does, the
/// header being row 1. What can be read with the gap kept is a warning; what can't
/// be trusted (no elapsed_s, no bean column, time going back, not a CSV) is an error that names the row.
Result<RoastFile> read_roast_csv(const std::string& path);
Result<RoastFile> parse_roast_csv(const std::string& text);
/// Reading it back gives the same again (channels without a unit, but for burner and airflow, come back as
/// unknown columns).
std::string write_roast_csv(const RoastFile& file);

}  // namespace drumwatch
