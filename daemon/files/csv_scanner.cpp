#include "files/csv_scanner.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxCells = 1024;

}  // namespace

CsvScanner::CsvScanner(std::string_view text) : text_(text) {
    if (text_.substr(0, 3) == "\xEF\xBB\xBF") at_ = 3;
}

bool CsvScanner::next() {
    cells_.clear();
    unescaped_.clear();
    if (at_ >= text_.size() || !error_.empty()) return false;
    ++row_;
    const std::size_t start = at_;
    bool more = true;
    while (more) {
        const bool quoted = at_ < text_.size() && text_[at_] == '"';
        if (!(quoted ? quoted_cell() : plain_cell()) || !after_cell(more)) return false;
    }
    blank_ = cells_.size() == 1 && cells_[0].empty() && (start >= text_.size() || text_[start] != '"');
    return true;
}

bool CsvScanner::plain_cell() {
    const std::size_t start = at_;
    while (at_ < text_.size()) {
        const char c = text_[at_];
        if (c == ',' || c == '\n' || (c == '\r' && text_.substr(at_, 2) == "\r\n")) break;
        if (c == '"') {
            error_ = "a quote inside a cell that does not begin with one";
            return false;
        }
        ++at_;
    }
    cells_.push_back(text_.substr(start, at_ - start));
    return true;
}

bool CsvScanner::quoted_cell() {
    const std::size_t start = ++at_;
    std::string* copy = nullptr;
    std::size_t piece = start;
    for (;;) {
        const std::size_t quote = text_.find('"', at_);
        if (quote == std::string_view::npos) {
            error_ = "a quoted cell that never ends";
            return false;
        }
        at_ = quote + 1;
        if (at_ >= text_.size() || text_[at_] != '"') {
            if (copy != nullptr) copy->append(text_.substr(piece, quote - piece));
            cells_.push_back(copy != nullptr ? std::string_view(*copy) : text_.substr(start, quote - start));
            return true;
        }
        if (copy == nullptr) copy = &unescaped_.emplace_back();
        copy->append(text_.substr(piece, at_ - piece));  // up to and with one of the two quotes
        piece = ++at_;
    }
}

bool CsvScanner::after_cell(bool& more) {
    more = false;
    open_ended_ = at_ >= text_.size();
    if (open_ended_) return true;
    if (text_[at_] == ',') {
        more = true;
        ++at_;
        if (cells_.size() == kMaxCells) {
            error_ = "more than 1024 cells";
            return false;
        }
    } else if (text_[at_] == '\n') {
        ++at_;
    } else if (text_.substr(at_, 2) == "\r\n") {
        at_ += 2;
    } else {
        error_ = "text after the closing quote of a cell";
        return false;
    }
    return true;
}

std::string csv_cell(std::string_view text) {
    if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + "\"";
}

}  // namespace drumwatch
