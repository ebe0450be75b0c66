// A JSON text (RFC 8259, `//` and `/* */` comments allowed on request) as a plain tree that keeps what the
// usual libraries lose: the order and the doubles of keys, and the line and column of every value. For files
// that people write, so that every mistake can be shown at its place.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace drumwatch {

/// Where something stands in the text, from 1; 0: unknown. A column counts characters, not bytes.
struct TextPlace {
    int line = 0;
    int column = 0;
};

enum class JsonKind : std::uint8_t { null, boolean, integer, real, text, list, object };

struct JsonNode {
    JsonKind kind = JsonKind::null;
    bool boolean = false;
    std::int64_t integer = 0;  ///< only of `integer`
    double number = 0;         ///< of `integer` and `real`; always finite
    std::string text;
    std::vector<JsonNode> items;  ///< of a list, or the values of an object
    std::string key;              ///< of a value inside an object
    TextPlace place;
    TextPlace key_place;

    bool is_number() const { return kind == JsonKind::integer || kind == JsonKind::real; }
};

struct JsonMistake {
    std::string pointer;  ///< JSON Pointer (RFC 6901)
    std::string message;
    TextPlace place;
};

enum class JsonComments : std::uint8_t { refused, allowed };

inline constexpr std::size_t kJsonMostDepth = 32;

/// The tree, or where and why the text is not JSON; both where every slip has one obvious repair: the tree is
/// then that of the mended text, with its places in what the person wrote.
struct JsonReading {
    std::optional<JsonNode> root;
    std::vector<JsonMistake> mistakes;   ///< of the syntax; none: `root` is what the text says
    std::vector<std::string> stand_ins;  ///< pointers of values that are missing: null in `root`

    /// `mistakes` and those of the values, in the text's order; nothing is said of a value that only stands
    /// in.
    std::vector<JsonMistake> all(std::vector<JsonMistake> of_values) const;
};
/// Never throws.
JsonReading read_json(const std::string& text, JsonComments comments);

/// `pointer` + "/" + `key`, with ~ and / escaped as RFC 6901 says.
std::string pointer_to(const std::string& pointer, std::string_view key);
std::string pointer_to(const std::string& pointer, std::size_t index);

}  // namespace drumwatch
