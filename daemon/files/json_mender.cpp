#include "files/json_mender.hpp"

#include <fmt/format.h>

#include "files/json_advice.hpp"
#include "files/json_repairs.hpp"

namespace drumwatch {
namespace {

using Kind = JsonTokenKind;

/// Walks the text once as RFC 8259 says it, and notes a repair wherever it is not so. Every step takes a
/// piece or stops. A function's bool: go on.
class Mender : private JsonRepairs {
  public:
    using JsonRepairs::JsonRepairs;

    MendedJson mend() {
        const bool whole = root();
        return ended(whole);
    }

  private:
    bool root() {
        const JsonToken first = peek();
        const bool any_text = first.kind == Kind::word && !advise_word(first.text).sentence.empty();
        if (any_text || is_separator(first)) return stop(first, "", "the file begins with an opening brace");
        if (!value("", 0)) return false;
        JsonToken last = peek();
        while (closes(last) || last.kind == Kind::comma) {
            if (too_many(last)) return false;
            // In the middle of the file it is rather another one that is too much, or was left out.
            if (after(last).kind != Kind::end && after(last).kind != last.kind) break;
            remove(last, "", "this is too much: everything is closed already");
            last = peek();
        }
        return last.kind == Kind::end ||
               stop(last, "", "everything is closed before this: one closing brace may be too many");
    }

    bool value(const std::string& pointer, std::size_t depth) {
        const JsonToken token = peek();
        if (breaks_off(token, pointer)) return false;
        switch (token.kind) {
            case Kind::open_object:
            case Kind::open_list:
                if (depth >= kJsonMostDepth)
                    return stop(token, pointer, fmt::format("nested more than {} deep", kJsonMostDepth));
                take(token);
                return token.kind == Kind::open_object ? object(pointer, depth + 1)
                                                       : list(pointer, depth + 1);
            case Kind::colon:
            case Kind::equals:
                remove(token, pointer, "one colon is enough");
                return value(pointer, depth);
            case Kind::text:
                return scalar(token, pointer, advise_text(token.text));
            case Kind::other_quotes:
                return replace(token, pointer, "text and keys stand in double quotes",
                               json_quoted(inside_other_quotes(token.text)));
            case Kind::word:
                last_word_ = token;
                return scalar(token, pointer, advise_word(token.text));
            default:
                stand_in(token, pointer, "a value is missing before this", "null");
                return true;
        }
    }
    bool scalar(const JsonToken& token, const std::string& pointer, const JsonAdvice& advice) {
        if (!advice.sentence.empty()) return replace(token, pointer, advice.sentence, advice.right);
        take(token);
        return true;
    }
    static bool colon_like(const JsonToken& token) {
        return token.kind == Kind::colon || token.kind == Kind::equals;
    }
    static bool quoted(const JsonToken& token) {
        return token.kind == Kind::text || token.kind == Kind::other_quotes;
    }
    /// A colon comes after it.
    bool is_key(const JsonToken& token) const {
        return (quoted(token) || token.kind == Kind::word) && colon_like(after(token));
    }
    static bool closes(const JsonToken& token) {
        return token.kind == Kind::close_object || token.kind == Kind::close_list;
    }
    static bool is_separator(const JsonToken& token) {
        return closes(token) || colon_like(token) || token.kind == Kind::comma ||
               token.kind == Kind::semicolon;
    }
    static bool opens(const JsonToken& token) {
        return token.kind == Kind::open_object || token.kind == Kind::open_list;
    }

    /// After the opening brace.
    bool object(const std::string& pointer, std::size_t depth) {
        JsonToken comma;
        for (;;) {
            const JsonToken token = peek();
            if (breaks_off(token, pointer)) return false;
            if (token.kind == Kind::close_object) return close(token, pointer, comma);
            if (token.kind == Kind::comma || token.kind == Kind::semicolon) {
                remove(token, pointer,
                       comma.kind == Kind::comma ? "one comma is enough" : "this comma is too much");
                continue;
            }
            if (quoted(token) || is_key(token)) {
                if (!member(token, pointer, depth) || !separator(pointer, Kind::close_object, comma))
                    return false;
            } else if (token.kind == Kind::word) {
                remove(token, pointer, "this does not belong here: a key in double quotes would be right");
            } else {
                return stop(token, pointer, not_a_key(token));
            }
        }
    }
    static const char* not_a_key(const JsonToken& token) {
        if (token.kind == Kind::close_list) return "an object ends with a brace, not with a bracket";
        return opens(token) ? "a key is missing before this" : "a key is missing before the colon";
    }
    bool close(const JsonToken& token, const std::string& pointer, const JsonToken& comma) {
        if (comma.kind == Kind::comma) {
            complain(token, pointer, "the comma before this is too much");
            take_out(comma);
        }
        take(token);
        return true;
    }

    bool member(const JsonToken& token, const std::string& pointer, std::size_t depth) {
        const std::string key = take_key(token, pointer);
        const std::string inner = pointer_to(pointer, key);
        const JsonToken colon = peek();
        if (breaks_off(colon, inner)) return false;
        if (colon.kind == Kind::equals) {
            replace(colon, inner, "a colon is missing between key and value", ":");
        } else if (colon.kind == Kind::colon) {
            take(colon);
        } else if (quoted(colon) || opens(colon) || colon.kind == Kind::word) {
            insert(colon, inner, "a colon is missing between key and value", ":");
        } else {
            stand_in(colon, inner, "a colon and a value are missing before this", ":null");
            return true;
        }
        return value(inner, depth);
    }
    /// The key as a person means it.
    std::string take_key(const JsonToken& token, const std::string& pointer) {
        if (token.kind == Kind::text) {
            const std::string key(token.text.substr(1, token.text.size() - 2));
            scalar(token, pointer_to(pointer, key), advise_text(token.text));
            return key;
        }
        const bool word = token.kind == Kind::word;
        const std::string key(word ? token.text : inside_other_quotes(token.text));
        replace(token, pointer_to(pointer, key),
                word ? "a key stands in double quotes" : "text and keys stand in double quotes",
                json_quoted(key));
        return key;
    }

    /// After the opening bracket.
    bool list(const std::string& pointer, std::size_t depth) {
        JsonToken comma;
        for (std::size_t index = 0;;) {
            const JsonToken token = peek();
            if (breaks_off(token, pointer)) return false;
            if (token.kind == Kind::close_list) return close(token, pointer, comma);
            if (token.kind == Kind::close_object)
                return stop(token, pointer, "a list ends with a bracket, not with a brace");
            if (token.kind == Kind::comma || token.kind == Kind::semicolon) {
                remove(token, pointer,
                       comma.kind == Kind::comma ? "one comma is enough" : "this comma is too much");
                continue;
            }
            if (colon_like(token)) return stop(token, pointer, kNoObject);
            if (!value(pointer_to(pointer, index++), depth)) return false;
            if (!separator(pointer, Kind::close_list, comma)) return false;
        }
    }

    /// Between two members or entries. `comma` is the one that was taken; of another kind where there was
    /// none.
    bool separator(const std::string& pointer, Kind closing, JsonToken& comma) {
        const bool in_object = closing == Kind::close_object;
        for (;;) {
            comma = {};
            const JsonToken token = peek();
            if (breaks_off(token, pointer)) return false;
            if (token.kind == closing) return true;
            if (token.kind == Kind::comma) {
                if (in_object && decimal_comma(token, pointer)) continue;
                take(token);
                comma = token;
                return true;
            }
            if (token.kind == Kind::semicolon && closes(after(token))) {
                remove(token, pointer, "this semicolon is too much");
                continue;
            }
            if (token.kind == Kind::semicolon)
                return replace(token, pointer, "a comma stands between two, not a semicolon", ",");
            if (in_object ? is_key(token) : (quoted(token) || opens(token) || token.kind == Kind::word)) {
                insert(token, pointer, "a comma is missing before this", ",");
                return true;
            }
            if (!quoted(token) && token.kind != Kind::word)
                return stop(token, pointer, not_a_separator(token, in_object));
            remove(token, pointer, "this does not belong here: a comma or a closing brace would be right");
        }
    }
    static const char* not_a_separator(const JsonToken& token, bool in_object) {
        if (token.kind == Kind::close_list) return "an object ends with a brace, not with a bracket";
        if (token.kind == Kind::close_object) return "a list ends with a bracket, not with a brace";
        if (colon_like(token) && !in_object) return kNoObject;
        return opens(token) ? "a comma and a key are missing before this" : "this colon has no key before it";
    }
    /// 0,5 in an object, where no number can begin after a comma.
    bool decimal_comma(const JsonToken& comma, const std::string& pointer) {
        const JsonToken rest = after(comma);
        const bool number = last_word_.end() == comma.begin && is_whole_number(last_word_.text) &&
                            rest.begin == comma.end() && is_whole_number(rest.text) && rest.text[0] != '-' &&
                            !colon_like(after(rest));
        if (!number) return false;
        replace(comma, pointer, "a number has a decimal point, not a comma", ".");
        take(rest);
        return true;
    }

    static constexpr const char* kNoObject = "a key and its value stand in an object, in braces";

    JsonToken last_word_;  ///< the last value without quotes
};

}  // namespace

MendedJson mend_json(const std::string& text) { return Mender(text).mend(); }

}  // namespace drumwatch
