#include "drivers/capture/capture_text.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <initializer_list>
#include <nlohmann/json.hpp>
#include <optional>

namespace drumwatch {
namespace {

using Json = nlohmann::json;
using Ordered = nlohmann::ordered_json;

constexpr int kFormat = 1;
constexpr std::int64_t kLongest_ms = 400LL * 24 * 3600 * 1000;
constexpr std::size_t kLongestName = 32;

std::string hex_of(std::string_view bytes) {
    constexpr std::string_view kDigits = "0123456789abcdef";
    std::string hex;
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        hex += kDigits[byte >> 4U];
        hex += kDigits[byte & 0xfU];
    }
    return hex;
}

/// What a device sent is kept byte for byte: as text where it is plain, else in hexadecimal.
Ordered text_json(std::string_view text) {
    const bool plain = std::all_of(text.begin(), text.end(), [](char c) {
        return static_cast<unsigned char>(c) >= 0x20 && static_cast<unsigned char>(c) < 0x7f;
    });
    if (plain) return {{"text", std::string(text)}};
    return {{"hex", hex_of(text)}};
}

void add_raw(Ordered& object, const RawValue& raw) {
    if (raw.fault != LinkFault::none) object["fault"] = std::string(name(raw.fault));
    if (raw.kind == RawValue::Kind::one_word) object["registers"] = {raw.words[0]};
    if (raw.kind == RawValue::Kind::two_words) object["registers"] = {raw.words[0], raw.words[1]};
    if (raw.kind == RawValue::Kind::text) object.update(text_json(raw.text()));
}

std::string dumped(const Ordered& object) {
    return object.dump(-1, ' ', true, Ordered::error_handler_t::replace);
}

/// A complaint is thrown inside this file only and becomes an Error.
struct Wrong {
    std::string what;
};

void only(const Json& object, std::initializer_list<std::string_view> keys) {
    if (!object.is_object()) throw Wrong{"is no JSON object"};
    for (const auto& [key, value] : object.items())
        if (std::find(keys.begin(), keys.end(), key) == keys.end())
            throw Wrong{fmt::format("has an unknown key of {} bytes", key.size())};
}

const Json& need(const Json& object, const char* key) {
    const auto at = object.find(key);
    if (at == object.end()) throw Wrong{fmt::format("has no \"{}\"", key)};
    return *at;
}

std::int64_t whole(const Json& value, const char* key, std::int64_t low, std::int64_t high) {
    const bool fits = value.is_number_integer() &&
                      !(value.is_number_unsigned() && value.get<std::uint64_t>() > std::uint64_t{1} << 62U);
    if (!fits || value.get<std::int64_t>() < low || value.get<std::int64_t>() > high)
        throw Wrong{fmt::format("\"{}\" must be a whole number from {} to {}", key, low, high)};
    return value.get<std::int64_t>();
}

std::string text_of(const Json& value, const char* key, std::size_t longest) {
    if (!value.is_string() || value.get_ref<const std::string&>().size() > longest)
        throw Wrong{fmt::format("\"{}\" must be text of at most {} bytes", key, longest)};
    return value.get<std::string>();
}

template <typename Value>
Value named(const Json& value, const char* key, std::size_t count) {
    const std::string word = text_of(value, key, kLongestName);
    for (std::size_t i = 0; i < count; ++i)
        if (name(static_cast<Value>(i)) == word) return static_cast<Value>(i);
    throw Wrong{fmt::format("\"{}\" is none of its words", key)};
}

const Json& list_of(const Json& object, const char* key, std::size_t most) {
    const Json& list = need(object, key);
    if (!list.is_array() || list.size() > most)
        throw Wrong{fmt::format("\"{}\" must be a list of at most {}", key, most)};
    return list;
}

void put_text(RawValue& raw, std::string_view text) {
    raw.kind = RawValue::Kind::text;
    raw.length = static_cast<std::uint8_t>(text.size());
    std::copy(text.begin(), text.end(), raw.bytes.begin());
}

std::string bytes_of(const Json& value, const char* key, std::size_t most) {
    const std::string hex = text_of(value, key, 2 * most);
    const auto digit = [key](char c) {
        if (c >= '0' && c <= '9') return c - '0';
        if (c >= 'a' && c <= 'f') return c - 'a' + 10;
        throw Wrong{fmt::format("\"{}\" must be pairs of the digits 0 to 9 and a to f", key)};
    };
    if (hex.size() % 2 != 0) throw Wrong{fmt::format("\"{}\" must be pairs of digits", key)};
    std::string bytes;
    for (std::size_t i = 0; i < hex.size(); i += 2)
        bytes += static_cast<char>(digit(hex[i]) * 16 + digit(hex[i + 1]));
    return bytes;
}

RawValue raw_of(const Json& reading) {
    RawValue raw;
    if (reading.contains("fault")) raw.fault = named<LinkFault>(reading["fault"], "fault", kLinkFaults);
    if (reading.contains("registers") + reading.contains("text") + reading.contains("hex") > 1)
        throw Wrong{"has more than one of \"registers\", \"text\" and \"hex\""};
    if (reading.contains("registers")) {
        const Json& words = list_of(reading, "registers", raw.words.size());
        if (words.empty()) throw Wrong{"\"registers\" must have one or two"};
        raw.kind = words.size() == 1 ? RawValue::Kind::one_word : RawValue::Kind::two_words;
        for (std::size_t i = 0; i < words.size(); ++i)
            raw.words[i] = static_cast<std::uint16_t>(whole(words[i], "registers", 0, 65535));
    }
    if (reading.contains("text")) put_text(raw, text_of(reading["text"], "text", RawValue::kMaxText));
    if (reading.contains("hex")) put_text(raw, bytes_of(reading["hex"], "hex", RawValue::kMaxText));
    return raw;
}

CapturedReading reading_of(const Json& object, const CaptureHeader& header) {
    only(object, {"channel", "value_milli", "quality", "fault", "registers", "text", "hex"});
    CapturedReading reading;
    const std::string channel = text_of(need(object, "channel"), "channel", kLongestName);
    const auto at = std::find(header.channels.begin(), header.channels.end(), channel);
    if (at == header.channels.end()) throw Wrong{"names a channel that the first line does not have"};
    reading.place = static_cast<std::size_t>(at - header.channels.begin());
    reading.quality = named<Quality>(need(object, "quality"), "quality", kQualities);
    if (has_value(reading.quality) != object.contains("value_milli"))
        throw Wrong{"\"value_milli\" must be there where the quality is good or suspect, and nowhere else"};
    if (has_value(reading.quality))
        reading.value_milli = static_cast<Milli>(whole(object["value_milli"], "value_milli",
                                                       -std::int64_t{std::numeric_limits<Milli>::max()},
                                                       std::numeric_limits<Milli>::max()));
    reading.raw = raw_of(object);
    return reading;
}

Json parsed(std::string_view line) {
    if (line.size() > kMaxCaptureLine) throw Wrong{fmt::format("is longer than {} bytes", kMaxCaptureLine)};
    Json json = Json::parse(line, nullptr, false);
    if (json.is_discarded()) throw Wrong{"is no JSON"};
    return json;
}

DiscreteInput input_of(const Json& json) {
    only(json, {"discrete_input", "unit_id"});
    DiscreteInput input;
    input.address =
        static_cast<std::uint16_t>(whole(need(json, "discrete_input"), "discrete_input", 0, 65535));
    input.unit_id = static_cast<std::uint8_t>(whole(need(json, "unit_id"), "unit_id", 0, 255));
    return input;
}

std::vector<DiscreteInput> inputs_of(const Json& json) {
    std::vector<DiscreteInput> inputs;
    for (const Json& one : list_of(json, "inputs", kMaxCaptureInputs)) {
        inputs.push_back(input_of(one));
        if (std::count(inputs.begin(), inputs.end(), inputs.back()) > 1)
            throw Wrong{"names a discrete input twice"};
    }
    return inputs;
}

std::vector<std::optional<bool>> levels_of(const Json& json, std::size_t count) {
    std::vector<std::optional<bool>> levels;
    for (const Json& one : list_of(json, "inputs", kMaxCaptureInputs)) {
        if (!one.is_boolean() && !one.is_null())
            throw Wrong{"\"inputs\" must hold true, false or null, which is a refused one"};
        levels.push_back(one.is_null() ? std::nullopt : std::optional(one.get<bool>()));
    }
    if (levels.size() != count) throw Wrong{"\"inputs\" must have as many as the first line"};
    return levels;
}

CaptureHeader header_of(const Json& json) {
    only(json, {"capture", "bus", "channels", "inputs"});
    whole(need(json, "capture"), "capture", kFormat, kFormat);
    CaptureHeader header;
    header.bus = text_of(need(json, "bus"), "bus", kLongestName);
    for (const Json& one : list_of(json, "channels", kMaxChannels)) {
        header.channels.push_back(text_of(one, "channels", kLongestName));
        if (std::count(header.channels.begin(), header.channels.end(), header.channels.back()) > 1)
            throw Wrong{"names a channel twice"};
    }
    if (json.contains("inputs")) header.inputs = inputs_of(json);
    return header;
}

CapturedPoll poll_of(const Json& json, const CaptureHeader& header) {
    only(json, {"ms", "link", "readings", "inputs", "complaint"});
    CapturedPoll poll;
    poll.ms = whole(need(json, "ms"), "ms", 0, kLongest_ms);
    const std::string link = text_of(need(json, "link"), "link", kLongestName);
    if (link != "up" && link != "down") throw Wrong{"\"link\" must be up or down"};
    poll.link = link == "up" ? Link::up : Link::down;
    for (const Json& one : list_of(json, "readings", kMaxChannels)) {
        poll.readings.push_back(reading_of(one, header));
        const auto same = [&](const CapturedReading& other) {
            return other.place == poll.readings.back().place;
        };
        if (std::count_if(poll.readings.begin(), poll.readings.end(), same) > 1)
            throw Wrong{"has two readings of one channel"};
    }
    if (json.contains("inputs")) poll.inputs = levels_of(json, header.inputs.size());
    if (json.contains("complaint"))
        poll.complaint = text_of(json["complaint"], "complaint", 3 * kMaxCaptureComplaint);
    return poll;
}

CapturedBytes piece_of(const Json& json, ByteWay way) {
    const std::string key(name(way));
    only(json, {"ms", key});
    CapturedBytes piece{whole(need(json, "ms"), "ms", 0, kLongest_ms), way,
                        bytes_of(json[key], key.c_str(), kMaxCapturedBytes)};
    if (piece.bytes.empty()) throw Wrong{fmt::format("has no byte in \"{}\"", key)};
    return piece;
}

CapturedLine line_of(const Json& json, const CaptureHeader& header) {
    for (const ByteWay way : {ByteWay::sent, ByteWay::received})
        if (json.is_object() && json.contains(name(way))) return piece_of(json, way);
    return poll_of(json, header);
}

/// Never throws but for want of memory.
template <typename Call>
auto guarded(Call call) -> Result<decltype(call())> {
    try {
        return call();
    } catch (const Wrong& wrong) {
        return Error{wrong.what};
    } catch (const Json::exception&) {
        return Error{"is not what a capture has"};
    }
}

}  // namespace

std::string capture_header_line(const CaptureHeader& header) {
    Ordered line = {{"capture", kFormat}, {"bus", header.bus}, {"channels", header.channels}};
    for (const DiscreteInput& input : header.inputs)
        line["inputs"].push_back({{"discrete_input", input.address}, {"unit_id", input.unit_id}});
    return dumped(line);
}

std::string captured_poll_line(const CapturedPoll& poll, const CaptureHeader& header) {
    Ordered readings = Ordered::array();
    for (const CapturedReading& reading : poll.readings) {
        Ordered one = {{"channel", header.channels.at(reading.place)}};
        if (has_value(reading.quality)) one["value_milli"] = reading.value_milli;
        one["quality"] = std::string(name(reading.quality));
        add_raw(one, reading.raw);
        readings.push_back(std::move(one));
    }
    Ordered line = {{"ms", poll.ms}, {"link", poll.link == Link::up ? "up" : "down"}, {"readings", readings}};
    for (const std::optional<bool> level : poll.inputs)
        line["inputs"].push_back(level ? Ordered(*level) : Ordered());
    if (!poll.complaint.empty()) line["complaint"] = poll.complaint.substr(0, kMaxCaptureComplaint);
    return dumped(line);
}

std::string captured_bytes_line(const CapturedBytes& piece) {
    return dumped({{"ms", piece.ms}, {std::string(name(piece.way)), hex_of(piece.bytes)}});
}

Result<CaptureHeader> parse_capture_header(std::string_view line) {
    return guarded([&] { return header_of(parsed(line)); });
}

Result<CapturedLine> parse_captured_line(std::string_view line, const CaptureHeader& header) {
    return guarded([&] { return line_of(parsed(line), header); });
}

}  // namespace drumwatch
