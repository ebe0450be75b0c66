#include "web/body_fields.hpp"

#include <fmt/format.h>

#include <utility>

namespace drumwatch {
namespace {

std::size_t characters(const std::string& utf8) {
    std::size_t count = 0;
    for (const char c : utf8) count += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    return count;
}

bool is_clean(const std::string& text) {
    for (const char c : text) {
        if (static_cast<unsigned char>(c) < 0x20U || c == 0x7F) return false;
    }
    return true;
}

}  // namespace

Fields::Fields(const FlatObject& object, std::span<const std::string_view> known) : object_(object) {
    std::string list;
    for (const std::string_view key : known) list += (list.empty() ? "" : ", ") + std::string(key);
    for (const FlatMember& member : object.members()) {
        bool expected = false;
        for (const std::string_view key : known) expected = expected || key == member.key;
        if (!expected) wrong(member.key, "Unknown key. Known here are " + list + ".");
    }
}

std::string Fields::text(std::string_view key, bool required, std::size_t most) {
    const FlatValue* value = object_.find(key);
    if (value == nullptr) {
        if (required) wrong(key, fmt::format("Missing: text of 1 to {} characters.", most));
        return {};
    }
    const std::string* given = std::get_if<std::string>(value);
    const bool fits =
        given != nullptr && characters(*given) <= most && is_clean(*given) && !(required && given->empty());
    if (fits) return *given;
    wrong(key, fmt::format("Must be text of {} to {} characters on one line.", required ? 1 : 0, most));
    return {};
}

std::optional<double> Fields::number(std::string_view key, bool required, double low, double high) {
    const FlatValue* value = object_.find(key);
    if (value == nullptr && !required) return std::nullopt;
    const double* given = value != nullptr ? std::get_if<double>(value) : nullptr;
    if (given != nullptr && *given >= low && *given <= high) return *given;
    wrong(key,
          fmt::format("{} a number from {} to {}.", value == nullptr ? "Missing:" : "Must be", low, high));
    return std::nullopt;
}

bool Fields::is_null(std::string_view key) const {
    const FlatValue* value = object_.find(key);
    return value != nullptr && std::holds_alternative<std::nullptr_t>(*value);
}

void Fields::wrong(std::string_view key, std::string what) {
    mistakes_.push_back({"/" + std::string(key), std::move(what)});
}

Response refusal(const Fields& fields) {
    std::string detail;
    for (const BodyMistake& mistake : fields.mistakes()) {
        detail += (detail.empty() ? "" : " ") + mistake.pointer + ": " + mistake.detail;
    }
    return problem(422, detail, fields.mistakes());
}

}  // namespace drumwatch
