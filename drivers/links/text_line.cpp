#include "drivers/links/text_line.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <span>

#include "drivers/links/modbus_frame.hpp"
#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

std::string_view trimmed(std::string_view text) {
    const std::size_t begin = text.find_first_not_of(" \t\r");
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(" \t\r") - begin + 1);
}

/// The fields of a line, one after the other.
class Fields {
  public:
    Fields(std::string_view line, char delimiter) : rest_(line), delimiter_(delimiter) {
        if (delimiter_ == ' ') rest_ = trimmed(rest_);
    }
    std::optional<std::string_view> next() {
        if (ended_) return std::nullopt;
        const std::size_t end = rest_.find(delimiter_);
        const std::string_view field = trimmed(rest_.substr(0, end));
        ended_ = end == std::string_view::npos;
        if (ended_) return field;
        rest_.remove_prefix(end + 1);
        if (delimiter_ == ' ') rest_ = trimmed(rest_);
        return field;
    }

  private:
    std::string_view rest_;
    char delimiter_;
    bool ended_ = false;
};

int count_fields(std::string_view line, char delimiter) {
    Fields fields(line, delimiter);
    int count = 0;
    while (fields.next()) ++count;
    return count;
}

/// The field, or what is wrong.
struct Found {
    std::string_view field;
    LinkFault fault = LinkFault::none;
};

Found by_number(std::string_view line, char delimiter, int number) {
    Fields fields(line, delimiter);
    auto field = fields.next();
    for (int i = 1; i < number && field; ++i) field = fields.next();
    if (!field) return {{}, LinkFault::missing_field};
    return {*field, LinkFault::none};
}

std::optional<std::string_view> value_of(std::string_view field, std::string_view key) {
    if (!field.starts_with(key)) return std::nullopt;
    const std::string_view rest = trimmed(field.substr(key.size()));
    if (rest.empty() || (rest[0] != '=' && rest[0] != ':')) return std::nullopt;
    return trimmed(rest.substr(1));
}

Found by_key(std::string_view line, char delimiter, std::string_view key) {
    Fields fields(line, delimiter);
    Found found{{}, LinkFault::missing_field};
    while (const auto field = fields.next()) {
        const auto value = value_of(*field, key);
        if (!value) continue;
        if (found.fault == LinkFault::none) return {*value, LinkFault::unreadable_field};
        found = {*value, LinkFault::none};
    }
    return found;
}

std::optional<double> number_from(std::string_view text, bool decimal_comma) {
    std::array<char, 64> digits;
    if (text.starts_with('+') && !text.starts_with("+-")) text.remove_prefix(1);
    if (text.empty() || text.size() > digits.size()) return std::nullopt;
    std::copy(text.begin(), text.end(), digits.begin());
    char* const end = digits.data() + text.size();
    if (decimal_comma) {
        if (text.find('.') != std::string_view::npos) return std::nullopt;
        std::replace(digits.data(), end, ',', '.');
    }
    double value = 0;
    const auto [stop, error] = std::from_chars(digits.data(), end, value);
    if (error != std::errc() || stop != end) return std::nullopt;
    return value;
}

unsigned sum_of(Checksum kind, std::string_view bytes) {
    unsigned sum = 0;
    switch (kind) {
        case Checksum::none:
            break;
        case Checksum::xor_sum:
            for (const char byte : bytes) sum ^= static_cast<unsigned char>(byte);
            break;
        case Checksum::sum:
            for (const char byte : bytes) sum = (sum + static_cast<unsigned char>(byte)) % 256;
            break;
        case Checksum::crc16:
            return crc16(std::span(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()));
    }
    return sum;
}

/// What the checksum covers; nothing when it is missing or wrong.
std::optional<std::string_view> covered(Checksum kind, std::string_view line) {
    if (line.starts_with('$')) line.remove_prefix(1);
    const std::size_t star = line.rfind('*');
    if (star == std::string_view::npos) return std::nullopt;
    const std::string_view digits = line.substr(star + 1);
    if (digits.size() != (kind == Checksum::crc16 ? 4U : 2U)) return std::nullopt;
    unsigned told = 0;
    const auto [stop, error] = std::from_chars(digits.data(), digits.data() + digits.size(), told, 16);
    if (error != std::errc() || stop != digits.data() + digits.size()) return std::nullopt;
    line = line.substr(0, star);
    if (sum_of(kind, line) != told) return std::nullopt;
    return line;
}

/// Without the suffix; nothing when it is not there.
std::optional<std::string_view> without(std::string_view suffix, std::string_view field) {
    if (!field.ends_with(suffix)) return std::nullopt;
    return trimmed(field.substr(0, field.size() - suffix.size()));
}

}  // namespace

TextLine open_line(const BusConfig& bus, std::string_view line) {
    if (bus.checksum != Checksum::none) {
        const auto body = covered(bus.checksum, line);
        if (!body) return {line, LinkFault::bad_checksum};
        line = *body;
    }
    if (bus.fields != 0 && count_fields(line, bus.delimiter) != bus.fields)
        return {line, LinkFault::wrong_field_count};
    return {line, LinkFault::none};
}

TextValue read_text(const ChannelSource& source, const BusConfig& bus, const TextLine& line) {
    const TextSource& text = *source.text;
    const auto bad = [&](LinkFault fault, std::string_view field) {
        return TextValue{{source.channel, 0, Quality::bad_reply}, fault, field};
    };
    if (line.fault != LinkFault::none) return bad(line.fault, {});
    const Found found = text.key.empty() ? by_number(line.body, bus.delimiter, text.field)
                                         : by_key(line.body, bus.delimiter, text.key);
    if (found.fault != LinkFault::none) return bad(found.fault, found.field);
    if (!text.open_text.empty() && found.field == trimmed(text.open_text))
        return {{source.channel, 0, Quality::open_circuit}, LinkFault::none, found.field};
    const auto digits = without(text.suffix, found.field);
    const auto raw = digits ? number_from(*digits, bus.decimal_comma) : std::nullopt;
    if (!raw) return bad(LinkFault::unreadable_field, found.field);
    const Reading reading = scale_reading(source, *raw);
    return {reading, is_good(reading.quality) ? LinkFault::none : LinkFault::no_number, found.field};
}

RawValue raw_of(const TextValue& value) {
    RawValue raw;
    raw.kind = RawValue::Kind::text;
    raw.fault = value.fault;
    raw.length = static_cast<std::uint8_t>(std::min(value.text.size(), RawValue::kMaxText));
    std::copy_n(value.text.begin(), raw.length, raw.bytes.begin());
    return raw;
}

}  // namespace drumwatch
