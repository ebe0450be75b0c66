// Lines of text: how a serial_text bus cuts them, and where a channel's number stands in one.
#include <fmt/format.h>

#include <algorithm>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMostCommand = 64;

/// False when it is there and wrong.
bool read_delimiter(JsonObject& object, BusConfig& bus) {
    std::string text;
    const JsonNode* node = object.find("delimiter");
    if (node == nullptr) return true;
    const std::string_view never = "0123456789.+-\r\n\"";
    const bool tab = node->kind == JsonKind::text && node->text == "\t";
    if (!tab && !object.read("delimiter", text, 8)) return false;
    if (!tab && (text.size() != 1 || static_cast<unsigned char>(text[0]) > 0x7e ||
                 never.find(text[0]) != std::string_view::npos)) {
        object.complain("delimiter",
                        fmt::format("is {}; one character that no number has, such as \",\", \";\" or "
                                    "\"\\t\", would be right",
                                    quoted(text)));
        return false;
    }
    bus.delimiter = tab ? '\t' : text[0];
    return true;
}

void read_decimal(JsonObject& object, bool delimiter_known, BusConfig& bus) {
    static constexpr std::string_view kDecimals[] = {"point", "comma"};
    bus.decimal_comma = object.choice("decimal", kDecimals) == std::size_t{1};
    if (bus.decimal_comma && delimiter_known && bus.delimiter == ',')
        object.complain("decimal",
                        "is \"comma\", and the delimiter is a comma too: \"187,4\" would be two fields; give "
                        "the \"delimiter\" that the device prints, such as \";\"");
}

/// Like other text, but it may have line ends and tabs.
void read_poll(JsonObject& object, BusConfig& bus) {
    const JsonNode* node = object.find("poll");
    if (node == nullptr) return;
    const auto strange = [](char c) {
        return (c < 0x20 && c != '\r' && c != '\n' && c != '\t') || c == 0x7f;
    };
    if (node->kind != JsonKind::text || node->text.empty() || node->text.size() > kMostCommand ||
        std::any_of(node->text.begin(), node->text.end(), strange)) {
        object.complain("poll", fmt::format("must be 1 to {} plain characters in quotes, with the line end "
                                            "that the device wants, such as \"READ\\r\\n\"",
                                            kMostCommand));
        return;
    }
    bus.poll = node->text;
}

bool has_blank_at_an_end(const std::string& word) { return word.front() == ' ' || word.back() == ' '; }

void read_key(JsonObject& object, std::string& into) {
    if (!object.read("key", into, 32)) return;
    if (has_blank_at_an_end(into) || into.find_first_of("=:") != std::string::npos)
        object.complain("key", fmt::format("is {}; what stands before the \"=\" or \":\", without blanks at "
                                           "its ends, would be right",
                                           quoted(into)));
}

void read_suffix(JsonObject& object, std::string& into) {
    if (!object.read("suffix", into, 8)) return;
    if (has_blank_at_an_end(into) || into.find_first_of("0123456789.,+-") == 0)
        object.complain("suffix", fmt::format("is {}; a unit that begins like no number, without blanks at "
                                              "its ends, such as \"C\" would be right",
                                              quoted(into)));
}

}  // namespace

void read_text_keys(JsonObject& object, BusConfig& bus) {
    static constexpr std::string_view kChecksums[] = {"none", "xor", "sum", "crc16"};
    const bool delimiter_known = read_delimiter(object, bus);
    read_decimal(object, delimiter_known, bus);
    if (const auto kind = object.choice("checksum", kChecksums)) bus.checksum = static_cast<Checksum>(*kind);
    std::int64_t fields = 0;
    if (object.read("fields", fields, {1, 64})) bus.fields = static_cast<int>(fields);
    read_poll(object, bus);
}

std::optional<TextSource> read_text_source(JsonObject& channel) {
    auto object = channel.object("text", kTextKeys);
    if (!object) return std::nullopt;
    TextSource source;
    std::int64_t field = source.field;
    if (object->read("field", field, {1, 64})) source.field = static_cast<int>(field);
    read_key(*object, source.key);
    if (object->has("field") == object->has("key"))
        object->complain_here(
            "give either \"field\" (its number, from 1) or \"key\" (of key=value or key:value)");
    object->read("open_text", source.open_text, 32);
    read_suffix(*object, source.suffix);
    return source;
}

}  // namespace drumwatch
