#include "files/json_tokens.hpp"

#include <algorithm>

namespace drumwatch {
namespace {

constexpr std::string_view kBlank = " \t\r\n";
constexpr std::string_view kSigns = "{}[],:;=";
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

JsonToken piece(JsonTokenKind kind, std::string_view text, std::size_t begin, std::size_t end) {
    return {kind, begin, text.substr(begin, end - begin)};
}

std::size_t line_end(std::string_view text, std::size_t at) {
    return std::min(text.find('\n', at), text.size());
}

/// After blanks and closed comments.
std::size_t after_blank(std::string_view text, std::size_t at) {
    if (at == 0 && text.starts_with(kByteOrderMark)) at = kByteOrderMark.size();
    for (;;) {
        at = std::min(text.find_first_not_of(kBlank, at), text.size());
        const std::string_view two = text.substr(at, 2);
        if (two == "//") {
            at = line_end(text, at);
        } else if (two == "/*" && text.find("*/", at + 2) != std::string_view::npos) {
            at = text.find("*/", at + 2) + 2;
        } else {
            return at;
        }
    }
}

/// Bytes of a single quote ('), or of one of U+2018 to U+201F in UTF-8, which some editors make of quotes.
std::size_t other_quote(std::string_view text, std::size_t at) {
    if (at >= text.size()) return 0;
    if (text[at] == '\'') return 1;
    const bool typographic = text.substr(at, 2) == "\xE2\x80" && at + 2 < text.size() &&
                             text[at + 2] >= '\x98' && text[at + 2] <= '\x9F';
    return typographic ? 3 : 0;
}

/// A quote closes where only a sign or the line's end comes after it: an apostrophe does not.
bool nothing_but_a_sign(std::string_view text, std::size_t at) {
    at = std::min(text.find_first_not_of(" \t\r", at), text.size());
    if (at == text.size() || text[at] == '\n') return true;
    return kSigns.find(text[at]) != std::string_view::npos || text[at] == '#' || text.substr(at, 2) == "//";
}

JsonToken in_other_quotes(std::string_view text, std::size_t begin) {
    const std::size_t end = line_end(text, begin);
    for (std::size_t at = begin + other_quote(text, begin); at < end; ++at) {
        const std::size_t quote = other_quote(text, at);
        if (quote > 0 && nothing_but_a_sign(text, at + quote))
            return piece(JsonTokenKind::other_quotes, text, begin, at + quote);
    }
    return piece(JsonTokenKind::open_text, text, begin, end);
}

JsonToken in_quotes(std::string_view text, std::size_t begin) {
    const std::size_t end = line_end(text, begin);
    for (std::size_t at = begin + 1; at < end; ++at) {
        if (text[at] == '\\') {
            ++at;
        } else if (text[at] == '"') {
            return piece(JsonTokenKind::text, text, begin, at + 1);
        }
    }
    return piece(JsonTokenKind::open_text, text, begin, end);
}

JsonToken word(std::string_view text, std::size_t begin) {
    std::size_t end = begin;
    while (end < text.size() && kBlank.find(text[end]) == std::string_view::npos &&
           kSigns.find(text[end]) == std::string_view::npos && text[end] != '"' &&
           text.substr(end, 2) != "//" && text.substr(end, 2) != "/*")
        ++end;
    return piece(JsonTokenKind::word, text, begin, std::max(end, begin + 1));
}

JsonTokenKind sign_kind(std::size_t sign) {
    constexpr JsonTokenKind kKinds[] = {JsonTokenKind::open_object, JsonTokenKind::close_object,
                                        JsonTokenKind::open_list,   JsonTokenKind::close_list,
                                        JsonTokenKind::comma,       JsonTokenKind::colon,
                                        JsonTokenKind::semicolon,   JsonTokenKind::equals};
    static_assert(std::size(kKinds) == kSigns.size());
    return kKinds[sign];
}

}  // namespace

JsonToken json_token(std::string_view text, std::size_t from) {
    const std::size_t begin = after_blank(text, from);
    if (begin == text.size()) return {JsonTokenKind::end, begin, {}};
    const char c = text[begin];
    if (const std::size_t sign = kSigns.find(c); sign != std::string_view::npos)
        return piece(sign_kind(sign), text, begin, begin + 1);
    if (c == '"') return in_quotes(text, begin);
    if (other_quote(text, begin) > 0) return in_other_quotes(text, begin);
    if (c == '#') return piece(JsonTokenKind::hash_comment, text, begin, line_end(text, begin));
    if (text.substr(begin, 2) == "/*") return piece(JsonTokenKind::open_comment, text, begin, text.size());
    return word(text, begin);
}

std::string_view inside_other_quotes(std::string_view text) {
    const std::size_t first = other_quote(text, 0);
    const std::size_t last = text.back() == '\'' ? 1 : 3;
    return text.substr(first, text.size() - first - last);
}

}  // namespace drumwatch
