// RFC 4180 records out of a text that is in memory. CRLF and LF both end a record; a quoted cell may hold
// both. Thread: one. Cells are views that live until the next call of next().
#pragma once

#include <cstddef>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

namespace drumwatch {

class CsvScanner {
  public:
    explicit CsvScanner(std::string_view text);

    /// False at the end and at a mistake; error() tells which.
    bool next();
    const std::vector<std::string_view>& cells() const { return cells_; }
    /// Of the record that next() gave, from 1, blank ones counted: as a spreadsheet numbers them.
    std::size_t row() const { return row_; }
    /// Nothing in it at all, not even an empty quoted cell.
    bool blank() const { return blank_; }
    /// It was the last and had no line end: perhaps cut short.
    bool open_ended() const { return open_ended_; }
    const std::string& error() const { return error_; }

  private:
    bool plain_cell();
    bool quoted_cell();
    bool after_cell(bool& more);

    std::string_view text_;
    std::size_t at_ = 0;
    std::size_t row_ = 0;
    bool blank_ = false;
    bool open_ended_ = false;
    std::vector<std::string_view> cells_;
    std::deque<std::string> unescaped_;  ///< storage of cells that had doubled quotes
    std::string error_;
};

/// The cell as RFC 4180 wants it written: quoted only where it must be.
std::string csv_cell(std::string_view text);

}  // namespace drumwatch
