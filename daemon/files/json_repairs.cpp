#include "files/json_repairs.hpp"

#include <algorithm>

#include "files/json_places.hpp"

namespace drumwatch {
namespace {

using Kind = JsonTokenKind;

constexpr std::size_t kMostMistakes = 50;

}  // namespace

JsonRepairs::JsonRepairs(const std::string& text) : text_(text), places_(places_of(text)) {}

JsonToken JsonRepairs::peek() {
    JsonToken token = json_token(text_, at_);
    while (token.kind == Kind::hash_comment && mended_.mistakes.size() < kMostMistakes) {
        remove(token, "", "a comment begins with //");
        token = json_token(text_, at_);
    }
    return token;
}

void JsonRepairs::complain(const JsonToken& token, const std::string& pointer, const std::string& sentence) {
    mended_.mistakes.push_back({pointer, "not JSON: " + sentence, places_[token.begin]});
}

bool JsonRepairs::stop(const JsonToken& token, const std::string& pointer, std::string sentence) {
    sentence += token.kind == Kind::end ? "; keys and values were not looked at"
                                        : "; what comes after was not looked at, nor were keys and values";
    complain(token, pointer, sentence);
    return false;
}

bool JsonRepairs::too_many(const JsonToken& token) {
    return mended_.mistakes.size() >= kMostMistakes &&
           !stop(token, "", "there are too many mistakes to go on");
}

bool JsonRepairs::breaks_off(const JsonToken& token, const std::string& pointer) {
    if (too_many(token)) return true;
    if (token.kind == Kind::end)
        return !stop(token, "", "the file ends too early: a bracket, brace or quote is not closed");
    if (token.kind == Kind::open_comment)
        return !stop(token, "", "a comment that begins with /* ends with */");
    if (token.kind == Kind::open_text)
        return !stop(token, pointer,
                     "text must end on its line with a double quote; a line end within it is written \\n");
    if (runs_on(token))
        return !stop(token, pointer,
                     "a double quote is missing at one end, or one within is not written \\\"");
    return false;
}

/// "a "b" c" and "a: 1, "b": what the quotes mean can't be told.
bool JsonRepairs::runs_on(const JsonToken& token) const {
    if (token.end() >= text_.size()) return false;
    const char next = text_[token.end()];
    const bool blank_or_sign = std::string_view(" \t\r\n{}[],:;=/#").find(next) != std::string_view::npos;
    return (token.kind == Kind::text && !blank_or_sign) || (token.kind == Kind::word && next == '"');
}

bool JsonRepairs::remove(const JsonToken& token, const std::string& pointer, const std::string& sentence) {
    return replace(token, pointer, sentence, "");
}

bool JsonRepairs::replace(const JsonToken& token, const std::string& pointer, const std::string& sentence,
                          std::string right) {
    complain(token, pointer, sentence);
    edit(token.begin, token.text.size(), std::move(right));
    take(token);
    return true;
}

void JsonRepairs::insert(const JsonToken& before, const std::string& pointer, const std::string& sentence,
                         std::string inserted) {
    complain(before, pointer, sentence);
    edit(before.begin, 0, std::move(inserted));
}

void JsonRepairs::stand_in(const JsonToken& before, const std::string& pointer, const std::string& sentence,
                           std::string inserted) {
    insert(before, pointer, sentence, std::move(inserted));
    mended_.stand_ins.push_back(pointer);
}

void JsonRepairs::edit(std::size_t begin, std::size_t removed, std::string inserted) {
    edits_.push_back({begin, removed, std::move(inserted)});
}

MendedJson JsonRepairs::ended(bool whole) {
    mended_.whole = whole;
    if (whole) apply_edits();
    return std::move(mended_);
}

/// No two touch the same bytes; what is inserted before a piece stays before what the piece becomes.
void JsonRepairs::apply_edits() {
    std::stable_sort(edits_.begin(), edits_.end(),
                     [](const Edit& a, const Edit& b) { return a.begin < b.begin; });
    std::size_t copied = 0;
    const auto copy_to = [&](std::size_t end) {
        mended_.text.append(text_, copied, end - copied);
        for (; copied < end; ++copied) mended_.places.push_back(places_[copied]);
    };
    for (const Edit& edit : edits_) {
        copy_to(edit.begin);
        mended_.text += edit.inserted;
        mended_.places.insert(mended_.places.end(), edit.inserted.size(), places_[edit.begin]);
        copied += edit.removed;
    }
    copy_to(text_.size());
    mended_.places.push_back(places_[text_.size()]);
}

}  // namespace drumwatch
