#include "backtest/truth.hpp"

#include <algorithm>

namespace drumwatch {

namespace {

std::optional<Disposition> disposition_from_name(std::string_view word) {
    for (const auto which :
         {Disposition::clear, Disposition::taste, Disposition::hold, Disposition::unjudged})
        if (name(which) == word) return which;
    return std::nullopt;
}

void read_marks(const RoastFile& file, FileTruth& truth) {
    for (const RoastRow& row : file.rows) {
        if (!row.mark) continue;
        if (*row.mark == Milestone::charge && truth.at(Milestone::drop)) return;
        truth.mark_s[static_cast<std::size_t>(*row.mark)] = static_cast<double>(row.elapsed_ms) / 1000;
    }
}

void read_verdict(const RoastFile& file, FileTruth& truth) {
    const auto& names = file.unknown_columns;
    const auto found = std::find(names.begin(), names.end(), "verdict");
    if (found == names.end()) return;
    const auto column = static_cast<std::size_t>(found - names.begin());
    for (const auto& cells : file.unknown_cells) {
        if (column >= cells.size() || cells[column].find_first_not_of(' ') == std::string::npos) continue;
        truth.verdict = disposition_from_name(cells[column]);
        if (!truth.verdict) truth.odd_verdict = cells[column];
        return;
    }
}

}  // namespace

FileTruth truth_of(const RoastFile& file) {
    FileTruth truth;
    read_marks(file, truth);
    read_verdict(file, truth);
    return truth;
}

}  // namespace drumwatch
