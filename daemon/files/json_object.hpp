// A typed, strict look at one JSON object. Every mistake is noted with its place and the reading goes on, so
// that a person sees all of them at once: unknown keys (with the likely spelling), keys twice, keys missing,
// wrong types, numbers out of range.
//
// Each `read` leaves its variable alone when the key is absent or wrong, and returns whether it was there and
// right. Reading a key that is not in the table is a bug of ours and is asserted: the table is the one list
// of keys, for the schema's test too.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "files/json_node.hpp"

namespace drumwatch {

struct JsonKey {
    std::string_view name;
    bool required = false;
};

/// Inclusive bounds and the unit's symbol for the message.
struct NumberRange {
    double low = 0;
    double high = 0;
    std::string_view unit = {};
};

class JsonObject {
  public:
    /// `keys`, `node` and `mistakes` must outlive the object. A node that is no object is a mistake, and then
    /// every key is absent.
    JsonObject(const JsonNode& node, std::string pointer, std::span<const JsonKey> keys,
               std::vector<JsonMistake>& mistakes);

    const JsonNode* find(std::string_view key) const;
    bool has(std::string_view key) const { return find(key) != nullptr; }
    std::string pointer(std::string_view key) const { return pointer_to(pointer_, key); }

    bool read(std::string_view key, double& into, NumberRange range);
    bool read(std::string_view key, std::int64_t& into, NumberRange range);
    bool read(std::string_view key, bool& into);
    /// 1 to `most` bytes without control characters.
    bool read(std::string_view key, std::string& into, std::size_t most);
    /// One of `words`; the index.
    std::optional<std::size_t> choice(std::string_view key, std::span<const std::string_view> words);
    std::optional<JsonObject> object(std::string_view key, std::span<const JsonKey> keys);
    /// The items of a list, empty when absent or wrong; `most` items at most.
    std::span<const JsonNode> list(std::string_view key, std::size_t least, std::size_t most);

    /// At the value of `key`; at the object itself when it is absent.
    void complain(std::string_view key, std::string message);
    void complain_here(std::string message);
    std::vector<JsonMistake>& mistakes() { return *mistakes_; }

  private:
    void check_keys();
    void complain_unknown(const JsonNode& item);
    const JsonNode* number(std::string_view key, NumberRange range);

    const JsonNode* node_;
    std::string pointer_;
    std::span<const JsonKey> keys_;
    std::vector<JsonMistake>* mistakes_;
};

/// "a number", "text", ...: what the file has, for a message.
std::string_view name(JsonKind kind);
/// The word of `known` that was probably meant, if one is near enough.
std::optional<std::string_view> nearest_word(std::string_view word, std::span<const std::string_view> known);
/// "a", "b" or "c"
std::string quoted_list(std::span<const std::string_view> words);
/// Text from a file as a message shows it: quoted, shortened, printable.
std::string quoted(std::string_view text);

}  // namespace drumwatch
