#include "files/json_object.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace drumwatch {
namespace {

/// Whole numbers that a double holds exactly: nobody's configuration needs more.
constexpr double kMostWhole = 9007199254740992.0;

std::string in_range(NumberRange range) {
    const std::string unit = range.unit.empty() ? "" : " " + std::string(range.unit);
    return fmt::format("from {} to {}{}", range.low, range.high, unit);
}

std::vector<std::string_view> names_of(std::span<const JsonKey> keys) {
    std::vector<std::string_view> names;
    for (const JsonKey& key : keys) names.push_back(key.name);
    return names;
}

/// Levenshtein distance, one row at a time.
std::size_t edits_between(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j < row.size(); ++j) row[j] = j;
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = std::exchange(row[0], i + 1);
        for (std::size_t j = 0; j < b.size(); ++j) {
            const std::size_t change = diagonal + (a[i] == b[j] ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({change, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

/// "tick" of "tick_ms": the unit was forgotten.
bool begins_with(std::string_view whole, std::string_view start) {
    return start.size() >= 3 && whole.substr(0, start.size()) == start;
}

}  // namespace

JsonObject::JsonObject(const JsonNode& node, std::string pointer, std::span<const JsonKey> keys,
                       std::vector<JsonMistake>& mistakes)
    : node_(&node), pointer_(std::move(pointer)), keys_(keys), mistakes_(&mistakes) {
    if (node.kind != JsonKind::object) {
        complain_here(fmt::format("is {}; an object with {} would be right", name(node.kind),
                                  quoted_list(names_of(keys))));
        return;
    }
    check_keys();
}

void JsonObject::check_keys() {
    for (std::size_t i = 0; i < node_->items.size(); ++i) {
        const JsonNode& item = node_->items[i];
        const auto same = [&](const JsonNode& other) { return other.key == item.key; };
        const auto end = node_->items.begin() + static_cast<std::ptrdiff_t>(i);
        if (std::any_of(node_->items.begin(), end, same)) {
            mistakes_->push_back({pointer(item.key), "is there twice; keep one", item.key_place});
        } else if (std::none_of(keys_.begin(), keys_.end(),
                                [&](auto& key) { return key.name == item.key; })) {
            complain_unknown(item);
        }
    }
    for (const JsonKey& key : keys_) {
        if (key.required && !has(key.name)) {
            mistakes_->push_back({pointer(key.name), "is missing and must be given", node_->place});
        }
    }
}

void JsonObject::complain_unknown(const JsonNode& item) {
    const auto names = names_of(keys_);
    const auto meant = nearest_word(item.key, names);
    const std::string right = meant ? fmt::format("did you mean \"{}\"?", *meant)
                                    : fmt::format("the keys here are {}", quoted_list(names));
    mistakes_->push_back({pointer(item.key), "is not a known key; " + right, item.key_place});
}

const JsonNode* JsonObject::find(std::string_view key) const {
    assert(std::any_of(keys_.begin(), keys_.end(), [&](auto& known) { return known.name == key; }));
    if (node_->kind != JsonKind::object) return nullptr;
    for (const JsonNode& item : node_->items) {
        if (item.key == key) return &item;
    }
    return nullptr;
}

void JsonObject::complain(std::string_view key, std::string message) {
    const JsonNode* item = find(key);
    mistakes_->push_back({pointer(key), std::move(message), item != nullptr ? item->place : node_->place});
}

void JsonObject::complain_here(std::string message) {
    mistakes_->push_back({pointer_, std::move(message), node_->place});
}

const JsonNode* JsonObject::number(std::string_view key, NumberRange range) {
    const JsonNode* item = find(key);
    if (item == nullptr) return nullptr;
    if (!item->is_number()) {
        complain(key, fmt::format("is {}; a number {} would be right", name(item->kind), in_range(range)));
        return nullptr;
    }
    if (!(item->number >= range.low && item->number <= range.high)) {
        complain(key, fmt::format("is {}; a number {} would be right", item->number, in_range(range)));
        return nullptr;
    }
    return item;
}

bool JsonObject::read(std::string_view key, double& into, NumberRange range) {
    const JsonNode* item = number(key, range);
    if (item != nullptr) into = item->number;
    return item != nullptr;
}

bool JsonObject::read(std::string_view key, std::int64_t& into, NumberRange range) {
    const JsonNode* item = number(key, range);
    if (item == nullptr) return false;
    if (std::trunc(item->number) != item->number || std::fabs(item->number) > kMostWhole) {
        complain(key, fmt::format("is {}; a whole number {} would be right", item->number, in_range(range)));
        return false;
    }
    into = static_cast<std::int64_t>(item->number);
    return true;
}

bool JsonObject::read(std::string_view key, bool& into) {
    const JsonNode* item = find(key);
    if (item == nullptr) return false;
    if (item->kind != JsonKind::boolean) {
        complain(key, fmt::format("is {}; true or false would be right", name(item->kind)));
        return false;
    }
    into = item->boolean;
    return true;
}

bool JsonObject::read(std::string_view key, std::string& into, std::size_t most) {
    const JsonNode* item = find(key);
    if (item == nullptr) return false;
    if (item->kind != JsonKind::text) {
        complain(key, fmt::format("is {}; text in quotes would be right", name(item->kind)));
        return false;
    }
    const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
    if (item->text.empty() || item->text.size() > most ||
        std::any_of(item->text.begin(), item->text.end(), control)) {
        complain(key, fmt::format("must be 1 to {} bytes of text on one line", most));
        return false;
    }
    into = item->text;
    return true;
}

std::optional<std::size_t> JsonObject::choice(std::string_view key, std::span<const std::string_view> words) {
    const JsonNode* item = find(key);
    if (item == nullptr) return std::nullopt;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (item->kind == JsonKind::text && item->text == words[i]) return i;
    }
    const std::string is =
        item->kind == JsonKind::text ? drumwatch::quoted(item->text) : std::string(name(item->kind));
    const auto meant = item->kind == JsonKind::text ? nearest_word(item->text, words) : std::nullopt;
    const std::string hint = meant ? fmt::format("did you mean \"{}\"? ", *meant) : "";
    complain(key, fmt::format("is {}; {}{} would be right", is, hint, quoted_list(words)));
    return std::nullopt;
}

std::optional<JsonObject> JsonObject::object(std::string_view key, std::span<const JsonKey> keys) {
    const JsonNode* item = find(key);
    if (item == nullptr) return std::nullopt;
    JsonObject object(*item, pointer(key), keys, *mistakes_);
    if (item->kind != JsonKind::object) return std::nullopt;
    return object;
}

std::span<const JsonNode> JsonObject::list(std::string_view key, std::size_t least, std::size_t most) {
    const JsonNode* item = find(key);
    if (item == nullptr) return {};
    if (item->kind != JsonKind::list) {
        complain(key, fmt::format("is {}; a list in brackets would be right", name(item->kind)));
        return {};
    }
    if (item->items.size() < least || item->items.size() > most) {
        complain(key, least == most
                          ? fmt::format("has {} entries; {} would be right", item->items.size(), least)
                          : fmt::format("has {} entries; {} to {} would be right", item->items.size(), least,
                                        most));
        return {};
    }
    return item->items;
}

std::string_view name(JsonKind kind) {
    switch (kind) {
        case JsonKind::null:
            return "null";
        case JsonKind::boolean:
            return "true or false";
        case JsonKind::integer:
        case JsonKind::real:
            return "a number";
        case JsonKind::text:
            return "text";
        case JsonKind::list:
            return "a list";
        case JsonKind::object:
            return "an object";
    }
    return "?";
}

std::optional<std::string_view> nearest_word(std::string_view word, std::span<const std::string_view> known) {
    if (word.size() > 64) return std::nullopt;
    std::optional<std::string_view> best;
    std::size_t best_distance = 0;
    for (const std::string_view candidate : known) {
        const std::size_t distance = edits_between(word, candidate);
        if (distance > 1 + candidate.size() / 4 && !begins_with(candidate, word)) continue;
        if (distance >= candidate.size()) continue;  // nothing of it is left
        if (best && distance >= best_distance) continue;
        best = candidate;
        best_distance = distance;
    }
    return best;
}

std::string quoted_list(std::span<const std::string_view> words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
        out += fmt::format("\"{}\"", words[i]);
    }
    return out;
}

std::string quoted(std::string_view text) {
    constexpr std::size_t kMost = 40;
    std::string out = "\"";
    for (const char c : text.substr(0, kMost)) {
        out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? '?' : c;
    }
    // Never ends inside a character.
    if (text.size() > kMost) {
        while (!out.empty() && (static_cast<unsigned char>(out.back()) & 0xC0) == 0x80) out.pop_back();
        if (static_cast<unsigned char>(out.back()) >= 0xC0) out.pop_back();
        out += "...";
    }
    return out + "\"";
}

}  // namespace drumwatch
