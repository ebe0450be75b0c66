#include "files/json_node.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>

#include "files/json_mender.hpp"
#include "files/json_places.hpp"

namespace drumwatch {
namespace {

/// Builds the tree from the library's events. `open_` is the path of containers being filled; a container's
/// address is stable while it is open, because its parent grows only after it is closed.
class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
  public:
    JsonNode root;
    std::size_t error_byte = 0;
    std::string error;
    bool too_deep = false;

    bool null() override { return add(JsonNode{}); }
    bool boolean(bool value) override {
        JsonNode node;
        node.kind = JsonKind::boolean;
        node.boolean = value;
        return add(std::move(node));
    }
    bool number_integer(number_integer_t value) override { return add_integer(value); }
    bool number_unsigned(number_unsigned_t value) override {
        constexpr auto kMost = static_cast<number_unsigned_t>(std::numeric_limits<std::int64_t>::max());
        if (value <= kMost) return add_integer(static_cast<std::int64_t>(value));
        return add_real(static_cast<double>(value));
    }
    bool number_float(number_float_t value, const string_t&) override { return add_real(value); }
    bool string(string_t& value) override {
        JsonNode node;
        node.kind = JsonKind::text;
        node.text = std::move(value);
        return add(std::move(node));
    }
    bool binary(binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(JsonKind::object); }
    bool start_array(std::size_t) override { return open(JsonKind::list); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }
    bool key(string_t& value) override {
        key_ = std::move(value);
        return true;
    }
    bool parse_error(std::size_t byte, const std::string&, const nlohmann::json::exception& why) override {
        error_byte = byte;
        error = why.what();
        return false;
    }

  private:
    JsonNode* put(JsonNode node) {
        node.key = std::move(key_);
        key_.clear();
        if (open_.empty()) return &(root = std::move(node));
        open_.back()->items.push_back(std::move(node));
        return &open_.back()->items.back();
    }
    bool add(JsonNode node) {
        put(std::move(node));
        return true;
    }
    bool add_integer(std::int64_t value) {
        JsonNode node;
        node.kind = JsonKind::integer;
        node.integer = value;
        node.number = static_cast<double>(value);
        return add(std::move(node));
    }
    bool add_real(double value) {
        JsonNode node;
        node.kind = JsonKind::real;
        node.number = value;
        return add(std::move(node));
    }
    bool open(JsonKind kind) {
        too_deep = open_.size() >= kJsonMostDepth;
        if (too_deep) return false;
        JsonNode node;
        node.kind = kind;
        open_.push_back(put(std::move(node)));
        return true;
    }
    bool close() {
        open_.pop_back();
        return true;
    }

    std::vector<JsonNode*> open_;
    std::string key_;
};

/// The library's message without its own codes and place; what it quotes is made printable.
std::string plain_words(const std::string& what) {
    const auto column = what.find("column ");
    const auto colon = column == std::string::npos ? column : what.find(": ", column);
    const auto code = what.find("] ");
    std::string words = what.substr(colon != std::string::npos  ? colon + 2
                                    : code == std::string::npos ? 0
                                                                : code + 2);
    for (char& c : words) {
        if (c < 0x20 || c > 0x7e) c = '?';
    }
    return words;
}

/// The byte that the library stumbled over: it counts from 1, and nothing before the first.
std::size_t stumble(const TreeBuilder& builder) {
    return builder.error_byte > 0 ? builder.error_byte - 1 : 0;
}

bool parse(const std::string& text, JsonComments comments, TreeBuilder& builder) {
    try {
        return nlohmann::json::sax_parse(text, &builder, nlohmann::json::input_format_t::json, true,
                                         comments == JsonComments::allowed);
    } catch (const nlohmann::json::exception& why) {
        builder.error = why.what();
        return false;
    }
}

/// What the mender knows nothing of, such as bytes that are not UTF-8, in the library's words.
JsonMistake not_json(const TreeBuilder& builder, TextPlace place) {
    return {"", "not JSON: " + plain_words(builder.error) + "; keys and values were not looked at", place};
}

JsonReading read_mended(const std::string& text, const TreeBuilder& strict) {
    JsonReading reading;
    MendedJson mended = mend_json(text);
    reading.mistakes = std::move(mended.mistakes);
    if (reading.mistakes.empty()) {
        reading.mistakes.push_back(not_json(strict, place_of_byte(text, stumble(strict))));
        return reading;
    }
    if (!mended.whole) return reading;
    TreeBuilder builder;
    if (!parse(mended.text, JsonComments::allowed, builder)) {
        reading.mistakes.push_back(
            not_json(builder, mended.places[std::min(stumble(builder), mended.text.size())]));
        return reading;
    }
    set_places(mended.text, builder.root, &mended.places);
    reading.root = std::move(builder.root);
    reading.stand_ins = std::move(mended.stand_ins);
    return reading;
}

}  // namespace

JsonReading read_json(const std::string& text, JsonComments comments) {
    TreeBuilder builder;
    JsonReading reading;
    if (parse(text, comments, builder)) {
        set_places(text, builder.root);
        reading.root = std::move(builder.root);
    } else if (builder.too_deep) {
        reading.mistakes.push_back({"", fmt::format("nested more than {} deep", kJsonMostDepth), {}});
    } else {
        reading = read_mended(text, builder);
    }
    return reading;
}

std::vector<JsonMistake> JsonReading::all(std::vector<JsonMistake> of_values) const {
    std::vector<JsonMistake> both = mistakes;
    const auto stands_in = [&](const JsonMistake& mistake) {
        return std::any_of(stand_ins.begin(), stand_ins.end(), [&](const std::string& pointer) {
            return mistake.pointer == pointer || mistake.pointer.starts_with(pointer + "/");
        });
    };
    std::remove_copy_if(of_values.begin(), of_values.end(), std::back_inserter(both), stands_in);
    std::stable_sort(both.begin(), both.end(), [](const JsonMistake& a, const JsonMistake& b) {
        return a.place.line != b.place.line ? a.place.line < b.place.line : a.place.column < b.place.column;
    });
    return both;
}

std::string pointer_to(const std::string& pointer, std::string_view key) {
    std::string out = pointer + "/";
    for (const char c : key) {
        if (c == '~') {
            out += "~0";
        } else if (c == '/') {
            out += "~1";
        } else {
            out += c;
        }
    }
    return out;
}

std::string pointer_to(const std::string& pointer, std::size_t index) {
    return pointer + "/" + std::to_string(index);
}

}  // namespace drumwatch
