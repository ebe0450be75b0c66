#include "files/json_advice.hpp"

#include <algorithm>
#include <string_view>

namespace drumwatch {

namespace {

struct Piece {
    std::size_t begin = 0;
    std::string_view text;  ///< empty: the end of the file
    char first() const { return text.empty() ? '\0' : text.front(); }
};

constexpr std::string_view kBlank = " \t\r\n";
constexpr std::string_view kSigns = "{}[]:,";

std::size_t after_blanks_and_comments(std::string_view text, std::size_t at) {
    for (;;) {
        at = std::min(text.find_first_not_of(kBlank, at), text.size());
        if (text.substr(at, 2) != "//") return at;
        at = std::min(text.find('\n', at), text.size());
    }
}

/// Text up to its closing quote, or to the end of its line where that is missing.
std::size_t end_of_text(std::string_view text, std::size_t at) {
    for (++at; at < text.size(); ++at) {
        if (text[at] == '\\') {
            ++at;
        } else if (text[at] == '"') {
            return at + 1;
        } else if (text[at] == '\n') {
            return at;
        }
    }
    return text.size();
}

Piece piece_at(std::string_view text, std::size_t from) {
    const std::size_t begin = after_blanks_and_comments(text, from);
    std::size_t end = begin;
    if (begin < text.size() && kSigns.find(text[begin]) != std::string_view::npos) {
        end = begin + 1;
    } else if (begin < text.size() && text[begin] == '"') {
        end = end_of_text(text, begin);
    } else {
        while (end < text.size() && (kBlank.find(text[end]) == std::string_view::npos) &&
               kSigns.find(text[end]) == std::string_view::npos)
            ++end;
    }
    return {begin, text.substr(begin, end - begin)};
}

bool ends_a_value(const Piece& piece) {
    return !piece.text.empty() && std::string_view("{[:,").find(piece.first()) == std::string_view::npos;
}
bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Its closing quote is missing: no parser gets past it.
bool is_open_text(const Piece& piece) {
    return piece.first() == '"' && (piece.text.size() < 2 || piece.text.back() != '"');
}

std::string sentence_for(const Piece& before, const Piece& here) {
    if (here.text.empty()) return "the file ends too early: a bracket, brace or quote is not closed";
    const char c = here.first();
    if (c == '\'') return "text and keys stand in double quotes";
    if (is_open_text(here))
        return "text must end on its line with a double quote; a line end within it is written \\n";
    if ((c == '}' || c == ']') && before.first() == ',') return "the comma before this is too much";
    if (c == 'T' || c == 'F' || c == 'N') return "true, false and null are written in small letters";
    if (is_digit(c) && before.text == "0") return "a number has no leading zero";
    if (c == '0' && here.text.size() > 1 && is_digit(here.text[1])) return "a number has no leading zero";
    if (c == '.') return "a number needs a digit before its point";
    if (c == '+') return "a number has no plus sign";
    if (c == ':') return "a key and its value stand in an object, in braces";
    if (ends_a_value(before) && c != '}' && c != ']') return "a comma is missing before this";
    if (before.first() == ',' && c == ',') return "one comma is enough";
    return {};
}

}  // namespace

JsonAdvice advise_json(const std::string& text, std::size_t stumble, bool wants_colon) {
    Piece before;
    Piece here = piece_at(text, 0);
    while (!here.text.empty() && !is_open_text(here) && here.begin + here.text.size() <= stumble) {
        before = here;
        here = piece_at(text, here.begin + here.text.size());
    }
    if (wants_colon && !here.text.empty()) return {here.begin, "a colon is missing between key and value"};
    return {here.begin, sentence_for(before, here)};
}

}  // namespace drumwatch
