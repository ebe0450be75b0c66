#include "files/json_advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace drumwatch {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_hex(char c) { return is_digit(c) || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F'); }
bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20; }

std::string_view take_digits(std::string_view& rest) {
    const std::size_t count = std::min(rest.find_first_not_of("0123456789"), rest.size());
    const std::string_view digits = rest.substr(0, count);
    rest.remove_prefix(count);
    return digits;
}

/// The parts of anything that a person would call a number.
struct NumberParts {
    char sign = 0;
    std::string_view whole;
    bool has_point = false;
    std::string_view fraction;
    std::string_view exponent;  ///< with its e
    bool is_number = false;
};

NumberParts number_parts(std::string_view word) {
    NumberParts parts;
    std::string_view rest = word;
    const auto take = [&](std::string_view any) {
        if (rest.empty() || any.find(rest.front()) == std::string_view::npos) return '\0';
        const char c = rest.front();
        rest.remove_prefix(1);
        return c;
    };
    parts.sign = take("+-");
    parts.whole = take_digits(rest);
    parts.has_point = take(".") != 0;
    if (parts.has_point) parts.fraction = take_digits(rest);
    parts.is_number = !parts.whole.empty() || !parts.fraction.empty();
    if (const std::string_view before = rest; take("eE") != 0) {
        take("+-");
        parts.is_number = parts.is_number && !take_digits(rest).empty();
        parts.exponent = before.substr(0, before.size() - rest.size());
    }
    parts.is_number = parts.is_number && rest.empty();
    return parts;
}

JsonAdvice advise_number(NumberParts parts) {
    std::string sentence;
    if (parts.sign == '+') sentence = "a number has no plus sign";
    if (parts.whole.empty()) sentence = "a number needs a digit before its point";
    if (parts.has_point && parts.fraction.empty()) sentence = "a number needs a digit after its point";
    if (parts.whole.size() > 1 && parts.whole.front() == '0') {
        sentence = "a number has no leading zero";
        parts.whole.remove_prefix(std::min(parts.whole.find_first_not_of('0'), parts.whole.size() - 1));
    }
    if (sentence.empty()) return {};
    std::string right = parts.sign == '-' ? "-" : "";
    right += parts.whole.empty() ? "0" : parts.whole;
    if (!parts.fraction.empty()) right += "." + std::string(parts.fraction);
    return {sentence, right + std::string(parts.exponent)};
}

std::string in_small_letters(std::string_view word) {
    std::string small(word);
    std::transform(small.begin(), small.end(), small.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return small;
}

/// Bytes of a right escape at `at`, which is a backslash; 0: a wrong one.
std::size_t escape_at(std::string_view text, std::size_t at) {
    if (at + 1 >= text.size()) return 0;
    if (text[at + 1] != 'u')
        return std::string_view("\"\\/bfnrt").find(text[at + 1]) != std::string_view::npos ? 2 : 0;
    const std::string_view digits = text.substr(at + 2, 4);
    return digits.size() == 4 && std::all_of(digits.begin(), digits.end(), is_hex) ? 6 : 0;
}

std::string control_escape(char c) {
    if (c == '\t') return "\\t";
    if (c == '\r') return "\\r";
    return fmt::format("\\u{:04x}", static_cast<unsigned char>(c));
}

}  // namespace

JsonAdvice advise_word(std::string_view word) {
    constexpr std::array<std::string_view, 3> kNames{"true", "false", "null"};
    const auto named = [&](std::string_view is) {
        return std::find(kNames.begin(), kNames.end(), is) != kNames.end();
    };
    if (named(word)) return {};
    if (const NumberParts parts = number_parts(word); parts.is_number) return advise_number(parts);
    const std::string small = in_small_letters(word);
    if (named(small)) return {"true, false and null are written in small letters", small};
    return {"text stands in double quotes", json_quoted(word)};
}

JsonAdvice advise_text(std::string_view quoted) {
    JsonAdvice advice;
    for (std::size_t at = 0; at < quoted.size(); ++at) {
        const char c = quoted[at];
        if (is_control(c)) {
            advice.sentence = "a tab or another control character in text is written as " + control_escape(c);
            advice.right += control_escape(c);
        } else if (c == '\\') {
            const std::size_t bytes = escape_at(quoted, at);
            if (bytes == 0) advice.sentence = "a backslash in text is written twice";
            advice.right += bytes == 0 ? "\\\\" : std::string(quoted.substr(at, bytes));
            if (bytes > 1) at += bytes - 1;
        } else {
            advice.right += c;
        }
    }
    return advice;
}

std::string json_quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (is_control(c)) {
            out += control_escape(c);
        } else {
            if (c == '"' || c == '\\') out += '\\';
            out += c;
        }
    }
    return out + "\"";
}

bool is_whole_number(std::string_view word) {
    if (word.starts_with('-')) word.remove_prefix(1);
    return !word.empty() && std::all_of(word.begin(), word.end(), is_digit);
}

}  // namespace drumwatch
