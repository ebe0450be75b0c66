#include "web/history.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <iterator>
#include <limits>

namespace drumwatch {
namespace {

constexpr std::int64_t kAtLeast_ms = 360'000;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

float or_none(const std::optional<double>& value) { return static_cast<float>(value.value_or(kNone)); }

/// Thousandths, without trailing zeros; null for what is not a number.
void append_number(std::string& out, double value) {
    if (!std::isfinite(value)) {
        out += "null";
        return;
    }
    fmt::format_to(std::back_inserter(out), "{:.3f}", value);
    while (out.back() == '0') out.pop_back();
    if (out.back() == '.') out.pop_back();
}

bool read_whole(std::string_view text, std::uint64_t& value) {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && end == text.data() + text.size() && !text.empty();
}

}  // namespace

std::string stream_id_text(StreamId id) { return fmt::format("{}-{}", id.watch, id.sequence); }

std::optional<StreamId> parse_stream_id(std::string_view text) {
    const std::size_t dash = text.find('-');
    if (dash == std::string_view::npos) return std::nullopt;
    StreamId id;
    if (!read_whole(text.substr(0, dash), id.watch) || !read_whole(text.substr(dash + 1), id.sequence)) {
        return std::nullopt;
    }
    return id;
}

History::History(std::size_t points, std::int64_t tick_ms, const ChannelTable& channels)
    : ring_(points), tick_ms_(tick_ms), bean_(find_role(channels, Role::bean)) {
    for (const Channel& channel : channels) names_.push_back(channel.name);
}

void History::push(const Snapshot& snapshot) {
    const bool goes_on = ring_.size() > 0 && snapshot.tick.ms > ring_.back().t_ms;
    if (snapshot.watch != watch_ && !goes_on) ring_.clear();
    if (ring_.size() > 0 && snapshot.sequence <= ring_.back().sequence) return;  // the same one twice
    watch_ = snapshot.watch;
    charge_ms_.reset();
    if (snapshot.roast) charge_ms_ = snapshot.roast->charge.ms;
    Point point{snapshot.sequence,
                snapshot.roast ? snapshot.roast->id : 0,
                snapshot.tick.ms,
                {},
                0,
                or_none({}),
                or_none({}),
                or_none({})};
    for (std::size_t i = 0; i < snapshot.channels; ++i) {
        point.values[i] = snapshot.channel[i].value_milli;
        if (is_good(snapshot.channel[i].quality))
            point.good = static_cast<std::uint16_t>(point.good | 1u << i);
    }
    if (bean_) point.rise_per_min = or_none(snapshot.channel[*bean_].rise_per_min);
    if (snapshot.follow) {
        point.deviation_c = or_none(snapshot.follow->deviation_c);
        point.corridor_c = static_cast<float>(snapshot.follow->corridor_c);
    }
    ring_.push(point);
}

std::size_t History::first_after(StreamId id) const {
    std::size_t low = 0;
    std::size_t high = ring_.size();
    while (low < high) {
        const std::size_t middle = (low + high) / 2;
        if (ring_[middle].sequence > id.sequence) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return low;
}

std::size_t History::first_of_present() const {
    if (ring_.size() == 0) return 0;
    std::int64_t from_ms = ring_.back().t_ms - kAtLeast_ms;
    if (charge_ms_) from_ms = std::min(from_ms, *charge_ms_);
    std::size_t first = ring_.size();
    while (first > 0 && ring_[first - 1].t_ms >= from_ms) --first;
    return first;
}

std::size_t History::count_after(StreamId id) const {
    return id.watch == watch_ ? ring_.size() - first_after(id) : ring_.size();
}

void History::append_channel(std::string& out, const Point& point, std::size_t channel) const {
    const bool good = (point.good >> channel) & 1u;
    append_number(out, good ? from_milli(point.values[channel]) : kNone);
}

std::string History::json(std::optional<StreamId> after, bool with_channels) const {
    const std::size_t first = after && after->watch == watch_ ? first_after(*after) : first_of_present();
    const std::size_t end = ring_.size();
    const std::uint64_t newest = end > 0 ? ring_.back().sequence : 0;
    std::string out;
    out.reserve(200 + (end - first) * 40);
    fmt::format_to(std::back_inserter(out), R"({{"watch":{},"id":"{}","from":{},"tick_ms":{},"t_ms":[)",
                   watch_, stream_id_text({watch_, newest}), first < end ? ring_[first].sequence : newest + 1,
                   tick_ms_);
    const auto column = [&](std::string_view open, auto&& append) {
        out += open;
        for (std::size_t i = first; i < end; ++i) {
            if (i > first) out += ',';
            append(ring_[i]);
        }
    };
    column("", [&](const Point& p) { out += std::to_string(p.t_ms); });
    column(R"(],"bean_c":[)", [&](const Point& p) {
        if (bean_) return append_channel(out, p, *bean_);
        out += "null";
    });
    column(R"(],"deviation_c":[)", [&](const Point& p) { append_number(out, p.deviation_c); });
    column(R"(],"corridor_c":[)", [&](const Point& p) { append_number(out, p.corridor_c); });
    column(R"(],"rise_per_min":[)", [&](const Point& p) { append_number(out, p.rise_per_min); });
    column(R"(],"roast":[)", [&](const Point& p) { out += std::to_string(p.roast); });
    out += "]";
    if (with_channels) {
        out += R"(,"channels":{)";
        for (std::size_t c = 0; c < names_.size(); ++c) {
            out += c > 0 ? "],\"" : "\"";
            out += names_[c];
            column("\":[", [&](const Point& p) { append_channel(out, p, c); });
        }
        out += names_.empty() ? "}" : "]}";
    }
    out += R"(,"charge_ms":)" + (charge_ms_ ? std::to_string(*charge_ms_) : "null") + "}";
    return out;
}

}  // namespace drumwatch
