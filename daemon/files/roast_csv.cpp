#include "files/roast_csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <string_view>

#include "files/csv_columns.hpp"
#include "files/csv_scanner.hpp"
#include "files/file_bytes.hpp"
#include "files/json_object.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxBytes = 256 * 1024 * 1024;
constexpr std::size_t kMaxRows = 2'000'000;
constexpr std::size_t kMaxCells = 20'000'000;
constexpr std::size_t kMaxWarnings = 50;
constexpr double kMaxElapsed_s = 1e8;
constexpr Milli kHotterThanBeans = 300'000;  // as degrees Celsius
constexpr Milli kHotterThanAnyBean_f = 520'000;
constexpr int kHotRows = 20;
constexpr std::int64_t kSameRoast_ms = 600'000;  // the next roast's crack comes later
constexpr std::size_t kPacedRows = 20;
constexpr std::int64_t kSlowest_ms = 3'000;  // between rows, and a charge can still be told
constexpr double kMilliseconds_s = 50;       // nobody reads a probe so seldom
constexpr double kLongest_s = 2e6;  // more than three weeks is a slip, and every tick of it would be stepped

/// The whole cell as a number, whatever the locale; spaces round it and a plus sign are forgiven.
std::optional<double> number_of(std::string_view cell) {
    while (!cell.empty() && cell.front() == ' ') cell.remove_prefix(1);
    while (!cell.empty() && cell.back() == ' ') cell.remove_suffix(1);
    if (cell.size() > 1 && cell.front() == '+' && cell[1] != '-') cell.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
    if (error != std::errc{} || end != cell.data() + cell.size()) return std::nullopt;
    return value;
}

bool is_blank(std::string_view cell) { return cell.find_first_not_of(' ') == std::string_view::npos; }

class RoastReader {
  public:
    explicit RoastReader(std::string_view text) : scanner_(text) {}

    Result<RoastFile> read() {
        if (!skip_to_header()) return no_header();
        auto columns = read_columns(scanner_.cells());
        if (!columns) return Error{columns.error()};
        columns_ = std::move(columns.value());
        begin_file();
        while (error_.empty() && scanner_.next()) {
            if (!scanner_.blank()) read_row();
        }
        if (error_.empty() && !scanner_.error().empty()) error_ = scanner_.error();
        if (!error_.empty()) return Error{fmt::format("row {}: {}", scanner_.row(), error_)};
        if (file_.rows.empty()) return Error{"there is a header but no row of readings"};
        finish();
        return std::move(file_);
    }

  private:
    bool skip_to_header() {
        while (scanner_.next()) {
            if (!scanner_.blank()) return true;
        }
        return false;
    }

    Error no_header() const {
        if (!scanner_.error().empty())
            return Error{fmt::format("row {}: {}", scanner_.row(), scanner_.error())};
        return Error{"the file is empty: a header row and rows of readings are needed"};
    }

    void begin_file() {
        file_.channels = columns_.channels;
        for (const Column& column : columns_.columns) {
            if (column.kind == ColumnKind::unknown) file_.unknown_columns.push_back(column.name);
        }
        for (const std::string& name : columns_.left_over) {
            warn(fmt::format("row 1: {} is one channel too many ({} at most): kept, not followed",
                             quoted(name), kMaxChannels));
        }
    }

    void read_row() {
        const auto& cells = scanner_.cells();
        if (cells.size() > columns_.columns.size()) {
            error_ = fmt::format("{} cells under {} columns (a decimal comma? numbers need a point)",
                                 cells.size(), columns_.columns.size());
            return;
        }
        if (cells.size() < columns_.columns.size()) {
            if (scanner_.open_ended()) return warn_row("cut short at the end of the file: left out");
            warn_row(fmt::format("{} cells under {} columns: the rest read as missing", cells.size(),
                                 columns_.columns.size()));
        }
        cell_count_ += columns_.columns.size();
        if (file_.rows.size() == kMaxRows || cell_count_ > kMaxCells) {
            error_ =
                fmt::format("more than {} rows or {} cells: cut the file into roasts", kMaxRows, kMaxCells);
            return;
        }
        RoastRow row;
        row.values.resize(file_.channels.size());
        std::vector<std::string> unknown;
        for (std::size_t i = 0; i < columns_.columns.size() && error_.empty(); ++i) {
            read_cell(columns_.columns[i], i < cells.size() ? cells[i] : std::string_view{}, row, unknown);
        }
        if (!error_.empty()) return;
        file_.rows.push_back(std::move(row));
        if (!file_.unknown_columns.empty()) file_.unknown_cells.push_back(std::move(unknown));
    }

    void read_cell(const Column& column, std::string_view cell, RoastRow& row,
                   std::vector<std::string>& unknown) {
        switch (column.kind) {
            case ColumnKind::elapsed:
                return read_elapsed(cell, row);
            case ColumnKind::mark:
                return read_mark(cell, row);
            case ColumnKind::channel:
                return read_value(column, cell, row);
            case ColumnKind::unknown:
                unknown.emplace_back(cell);
        }
    }

    /// Time can't be guessed: anything wrong with it is an error.
    void read_elapsed(std::string_view cell, RoastRow& row) {
        const auto seconds = number_of(cell);
        if (!seconds || !(std::fabs(*seconds) <= kMaxElapsed_s)) {
            error_ = fmt::format("elapsed_s is {}; seconds from the first row would be right", quoted(cell));
            return;
        }
        row.elapsed_ms = std::llround(*seconds * 1000);
        if (file_.rows.empty()) first_ms_ = row.elapsed_ms;
        row.elapsed_ms -= first_ms_;
        if (row.elapsed_ms > std::llround(kLongest_s * 1000))
            error_ = "elapsed_s is more than three weeks after the first row";
        if (!file_.rows.empty() && row.elapsed_ms < file_.rows.back().elapsed_ms) {
            error_ = fmt::format("time goes back: elapsed_s is {} after {}", cell,
                                 static_cast<double>(file_.rows.back().elapsed_ms + first_ms_) / 1000);
        }
    }

    void read_mark(std::string_view cell, RoastRow& row) {
        if (is_blank(cell)) return;
        row.mark = milestone_from_name(cell);
        if (!row.mark) {
            warn_row(
                fmt::format("mark {} is none of charge, turning_point, yellow, first_crack, second_crack, "
                            "drop: left out",
                            quoted(cell)));
        }
    }

    void read_value(const Column& column, std::string_view cell, RoastRow& row) {
        if (is_blank(cell)) return;
        auto value = number_of(cell);
        if (value && column.fahrenheit) value = (*value - 32) * 5 / 9;
        if (value) row.values[column.channel] = to_milli(*value);
        if (!row.values[column.channel]) {
            warn_row(fmt::format("{} is not a number ({}): read as missing", column.name, quoted(cell)));
        }
    }

    void warn_row(const std::string& message) { warn(fmt::format("row {}: {}", scanner_.row(), message)); }

    void warn(std::string message) {
        if (file_.warnings.size() < kMaxWarnings) {
            file_.warnings.push_back(std::move(message));
        } else {
            ++more_warnings_;
        }
    }

    void finish() {
        if (std::abs(first_ms_) >= 1'000) {  // less is the time of a first reading
            warn(fmt::format("elapsed_s begins at {}: counted from the first row",
                             static_cast<double>(first_ms_) / 1000));
        }
        warn_of_fahrenheit();
        warn_of_marks();
        warn_of_pace();
        if (more_warnings_ > 0) file_.warnings.push_back(fmt::format("and {} more", more_warnings_));
    }

    /// Coffee in degrees Fahrenheit under a header that says Celsius.
    void warn_of_fahrenheit() {
        const auto bean = std::find_if(file_.channels.begin(), file_.channels.end(),
                                       [](const Channel& channel) { return channel.role == Role::bean; });
        if (bean == file_.channels.end()) return;
        const auto index = static_cast<std::size_t>(bean - file_.channels.begin());
        int hot = 0;
        Milli hottest = 0;
        for (const RoastRow& row : file_.rows) {
            const auto& value = row.values[index];
            if (!value || *value <= kHotterThanBeans || *value >= kHotterThanAnyBean_f) continue;
            hottest = std::max(hottest, *value);
            ++hot;
        }
        if (hot >= kHotRows)
            warn(fmt::format(
                "the bean temperature rises to {:.0f} °C: this looks like degrees Fahrenheit; the "
                "column's name would be bean_f",
                static_cast<double>(hottest) / 1000));
    }

    /// A mark that is there twice in one roast. An earlier drop is taken out: it would end the roast there.
    void warn_of_marks() {
        std::array<RoastRow*, kMilestones> marked{};
        for (RoastRow& row : file_.rows) {
            if (!row.mark) continue;
            if (*row.mark == Milestone::charge) marked = {};
            RoastRow*& earlier = marked[static_cast<std::size_t>(*row.mark)];
            if (earlier && row.elapsed_ms - earlier->elapsed_ms < kSameRoast_ms) {
                warn(fmt::format("{} is marked twice, at {} s and at {} s: the later one counts",
                                 name(*row.mark), static_cast<double>(earlier->elapsed_ms + first_ms_) / 1000,
                                 static_cast<double>(row.elapsed_ms + first_ms_) / 1000));
                if (*row.mark == Milestone::drop) earlier->mark.reset();
            }
            earlier = &row;
        }
    }

    /// Too slow to show a charge, or no seconds at all.
    void warn_of_pace() {
        if (file_.rows.size() < kPacedRows) return;
        std::vector<std::int64_t> steps;
        for (std::size_t i = 1; i < file_.rows.size(); ++i)
            steps.push_back(file_.rows[i].elapsed_ms - file_.rows[i - 1].elapsed_ms);
        const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
        std::nth_element(steps.begin(), middle, steps.end());
        if (*middle <= kSlowest_ms) return;
        const double step_s = static_cast<double>(*middle) / 1000;
        warn(step_s >= kMilliseconds_s
                 ? fmt::format("rows are {:g} s apart: elapsed_s looks like milliseconds; it is in seconds",
                               step_s)
                 : fmt::format(
                       "rows are {:g} s apart: too few to find charge and drop by; mark both in the file",
                       step_s));
    }

    CsvScanner scanner_;
    Columns columns_;
    RoastFile file_;
    std::string error_;
    std::int64_t first_ms_ = 0;
    std::size_t cell_count_ = 0;
    std::size_t more_warnings_ = 0;
};

std::optional<Error> not_text(std::string_view text) {
    const std::string_view start = text.substr(0, 2);
    if (start == "\xFF\xFE" || start == "\xFE\xFF") return Error{"the file is UTF-16; save it as UTF-8"};
    if (text.find('\0') != std::string_view::npos) return Error{"this is not a text file: it has a NUL byte"};
    return std::nullopt;
}

/// Thousandths with the digits that they need: 12, 12.5, -0.25.
void append_milli(std::string& out, std::int64_t milli) {
    if (milli < 0) out += '-';
    const std::uint64_t size =
        milli < 0 ? 0 - static_cast<std::uint64_t>(milli) : static_cast<std::uint64_t>(milli);
    out += std::to_string(size / 1000);
    std::uint64_t rest = size % 1000;
    if (rest == 0) return;
    out += '.';
    for (std::uint64_t place = 100; rest > 0; place /= 10) {
        out += static_cast<char>('0' + rest / place);
        rest %= place;
    }
}

std::string header_of(const RoastFile& file) {
    std::string out = "elapsed_s";
    for (const Channel& channel : file.channels) out += "," + csv_cell(column_name(channel));
    out += ",mark";
    for (const std::string& name : file.unknown_columns) out += "," + csv_cell(name);
    return out + "\r\n";
}

}  // namespace

Result<RoastFile> parse_roast_csv(const std::string& text) {
    if (text.size() > kMaxBytes) return Error{"larger than 256 MiB"};
    if (const auto error = not_text(text)) return *error;
    return RoastReader(text).read();
}

Result<RoastFile> read_roast_csv(const std::string& path) {
    const auto bytes = read_file_bytes(path, kMaxBytes);
    if (!bytes) return Error{path + ": " + bytes.error()};
    const bool packed = looks_like_gzip(bytes.value());
    if (!packed && path.size() > 3 && path.compare(path.size() - 3, 3, ".gz") == 0) {
        return Error{path + ": named .gz, but it is not gzip"};
    }
    auto text = packed ? unpack_gzip(bytes.value(), kMaxBytes) : bytes;
    if (!text) return Error{path + ": " + text.error()};
    auto file = parse_roast_csv(text.value());
    if (!file) return Error{path + ": " + file.error()};
    return file;
}

std::string write_roast_csv(const RoastFile& file) {
    std::string out = header_of(file);
    for (std::size_t i = 0; i < file.rows.size(); ++i) {
        const RoastRow& row = file.rows[i];
        append_milli(out, row.elapsed_ms);
        for (const auto& value : row.values) {
            out += ',';
            if (value) append_milli(out, *value);
        }
        out += ',';
        if (row.mark) out += name(*row.mark);
        if (i < file.unknown_cells.size()) {
            for (const std::string& cell : file.unknown_cells[i]) out += "," + csv_cell(cell);
        }
        out += "\r\n";
    }
    return out;
}

}  // namespace drumwatch
