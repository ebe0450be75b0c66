#include "record/rows.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

namespace drumwatch {
namespace {

using nlohmann::json;

constexpr int kMostDepth = 8;

/// Parsed and not deep (a deep one overflows the stack where it is copied or ends).
std::optional<json> parse(std::string_view text) {
    bool deep = false;
    json parsed = json::parse(
        text,
        [&deep](int depth, json::parse_event_t, json&) {
            deep = deep || depth > kMostDepth;
            return !deep;
        },
        false);
    if (deep || parsed.is_discarded()) return std::nullopt;
    return parsed;
}

std::string dump(const json& value) { return value.dump(-1, ' ', false, json::error_handler_t::replace); }

std::optional<std::int64_t> integer(const json& object, const char* key, std::int64_t low,
                                    std::int64_t high) {
    const auto found = object.find(key);
    if (found == object.end() || !found->is_number_integer()) return std::nullopt;
    if (found->is_number_unsigned() && found->get<std::uint64_t>() > std::uint64_t{1} << 62)
        return std::nullopt;
    const auto value = found->get<std::int64_t>();
    if (value < low || value > high) return std::nullopt;
    return value;
}

std::string text(const json& object, const char* key) {
    const auto found = object.find(key);
    return found != object.end() && found->is_string() ? found->get<std::string>() : std::string{};
}

double real(const json& object, const char* key) {
    const auto found = object.find(key);
    if (found == object.end() || !found->is_number()) return std::numeric_limits<double>::quiet_NaN();
    return found->get<double>();
}

/// The value whose word is `word`, among `last` + 1 values from 0.
template <typename T>
std::optional<T> from_word(std::string_view word, T last) {
    for (int i = 0; i <= static_cast<int>(last); ++i) {
        if (name(static_cast<T>(i)) == word) return static_cast<T>(i);
    }
    return std::nullopt;
}

std::optional<Unit> unit_from(std::string_view word) {
    for (int i = 0; i <= static_cast<int>(Unit::none); ++i) {
        if (suffix(static_cast<Unit>(i)) == word) return static_cast<Unit>(i);
    }
    return std::nullopt;
}

constexpr std::int64_t kMilliLow = std::numeric_limits<Milli>::min();
constexpr std::int64_t kMilliHigh = std::numeric_limits<Milli>::max();
constexpr std::int64_t kTickHigh = std::int64_t{1} << 60;

std::optional<Channel> channel_from(const json& object) {
    if (!object.is_object()) return std::nullopt;
    Channel channel;
    channel.name = text(object, "name");
    const auto unit = unit_from(text(object, "unit"));
    const auto low = integer(object, "span_low_milli", kMilliLow, kMilliHigh);
    const auto high = integer(object, "span_high_milli", kMilliLow, kMilliHigh);
    const auto age = integer(object, "max_age_ms", 0, kTickHigh);
    if (channel.name.empty() || !unit || !low || !high || !age) return std::nullopt;
    channel.role = role_from_name(text(object, "role")).value_or(Role::other);
    channel.unit = *unit;
    channel.span_low_milli = static_cast<Milli>(*low);
    channel.span_high_milli = static_cast<Milli>(*high);
    channel.max_age_ms = *age;
    return channel;
}

std::optional<MilestoneAt> milestone_from(const json& object) {
    if (!object.is_object()) return std::nullopt;
    const auto at = integer(object, "at_ms", -kTickHigh, kTickHigh);
    const auto source = from_word(text(object, "source"), MarkSource::mark);
    if (!at || !source) return std::nullopt;
    MilestoneAt milestone{{*at}, std::nullopt, *source};
    const auto bean = object.find("bean_milli");
    if (bean == object.end() || bean->is_null()) return milestone;
    const auto known = integer(object, "bean_milli", kMilliLow, kMilliHigh);
    if (!known) return std::nullopt;
    milestone.bean_milli = static_cast<Milli>(*known);
    return milestone;
}

json to_json(const Reason& reason) {
    return {{"rule", name(reason.rule)},       {"calls_for", name(reason.calls_for)},
            {"value", reason.value},           {"limit", reason.limit},
            {"extra", reason.extra},           {"index", reason.index},
            {"control", name(reason.control)}, {"level", reason.level},
            {"unit", name(reason.unit)}};
}

std::optional<Reason> reason_from(const json& object) {
    if (!object.is_object()) return std::nullopt;
    const auto rule = from_word(text(object, "rule"), VerdictRule::end_unread);
    const auto calls_for = from_word(text(object, "calls_for"), Disposition::unjudged);
    const auto index = integer(object, "index", -1, std::numeric_limits<std::int16_t>::max());
    const auto control = control_from_name(text(object, "control"));
    if (!rule || !calls_for || !index || !control) return std::nullopt;
    Reason reason{*rule, *calls_for, real(object, "value"), real(object, "limit"), real(object, "extra")};
    reason.index = static_cast<std::int16_t>(*index);
    reason.control = *control;
    reason.level = real(object, "level");
    // Older builds wrote none, and most levels are shares.
    reason.unit = from_word(text(object, "unit"), LevelUnit::step).value_or(LevelUnit::percent);
    return reason;
}

constexpr std::array<std::string_view, 3> kLateKinds{"charge_kg", "roasted_kg", "colour"};
constexpr std::array<std::string_view, 5> kStates{"roasting", "finished", "aborted", "withdrawn",
                                                  "interrupted"};

}  // namespace

std::string channels_to_json(const ChannelTable& channels) {
    json list = json::array();
    for (const Channel& channel : channels) {
        list.push_back({{"name", channel.name},
                        {"role", name(channel.role)},
                        {"unit", suffix(channel.unit)},
                        {"span_low_milli", channel.span_low_milli},
                        {"span_high_milli", channel.span_high_milli},
                        {"max_age_ms", channel.max_age_ms}});
    }
    return dump(list);
}

Result<ChannelTable> channels_from_json(std::string_view text) {
    const auto list = parse(text);
    if (!list || !list->is_array() || list->size() > kMaxChannels)
        return Error{"the watch's channels can't be read"};
    ChannelTable channels;
    for (const json& object : *list) {
        auto channel = channel_from(object);
        if (!channel)
            return Error{"channel " + std::to_string(channels.size()) + " of the watch can't be read"};
        channels.push_back(std::move(*channel));
    }
    return channels;
}

std::string milestones_to_json(const MilestoneSet& milestones) {
    json object = json::object();
    for (std::size_t i = 0; i < kMilestones; ++i) {
        if (!milestones[i]) continue;
        const auto& bean = milestones[i]->bean_milli;
        object[std::string(name(static_cast<Milestone>(i)))] = {
            {"at_ms", milestones[i]->at.ms},
            {"bean_milli", bean ? json(*bean) : json(nullptr)},
            {"source", name(milestones[i]->source)}};
    }
    return dump(object);
}

Result<MilestoneSet> milestones_from_json(std::string_view text) {
    const auto object = parse(text);
    if (!object || !object->is_object()) return Error{"the roast's milestones can't be read"};
    MilestoneSet milestones;
    for (const auto& [key, value] : object->items()) {
        const auto which = milestone_from_name(key);
        if (!which) continue;  // of a newer build
        const auto at = milestone_from(value);
        if (!at) return Error{"the roast's milestone " + key + " can't be read"};
        milestones[static_cast<std::size_t>(*which)] = at;
    }
    return milestones;
}

std::string verdict_to_json(const std::optional<Verdict>& verdict) {
    if (!verdict) return {};
    json reasons = json::array();
    for (const Reason& reason : verdict->reasons) reasons.push_back(to_json(reason));
    return dump(
        {{"roast", verdict->roast}, {"disposition", name(verdict->disposition)}, {"reasons", reasons}});
}

Result<std::optional<Verdict>> verdict_from_json(std::string_view json_text) {
    if (json_text.empty()) return std::optional<Verdict>{};
    const Error unreadable{"the roast's verdict can't be read"};
    const auto object = parse(json_text);
    if (!object || !object->is_object()) return unreadable;
    const auto roast = integer(*object, "roast", 0, kTickHigh);
    const auto disposition = from_word(text(*object, "disposition"), Disposition::unjudged);
    const auto reasons = object->find("reasons");
    if (!roast || !disposition || reasons == object->end() || !reasons->is_array()) return unreadable;
    Verdict verdict;
    verdict.roast = static_cast<std::uint64_t>(*roast);
    verdict.disposition = *disposition;
    for (const json& item : *reasons) {
        const auto reason = reason_from(item);
        if (!reason || !verdict.reasons.push_back(*reason)) return unreadable;
    }
    return std::optional<Verdict>{verdict};
}

std::string_view name(RoastState state) { return kStates[static_cast<std::size_t>(state)]; }
std::optional<RoastState> roast_state_from_name(std::string_view word) {
    return from_word(word, RoastState::interrupted);
}

namespace {
constexpr std::string_view kProbeActs[] = {"checked", "calibrated", "wiped",
                                           "moved",   "replaced",   "target_confirmed"};
}  // namespace

std::string_view name(ProbeAct act) { return kProbeActs[static_cast<std::size_t>(act)]; }
std::optional<ProbeAct> probe_act_from_name(std::string_view word) {
    for (std::size_t i = 0; i < std::size(kProbeActs); ++i)
        if (kProbeActs[i] == word) return static_cast<ProbeAct>(i);
    return std::nullopt;
}

std::string_view name(LateKind kind) { return kLateKinds[static_cast<std::size_t>(kind)]; }
std::optional<LateKind> late_kind_from_name(std::string_view word) {
    return from_word(word, LateKind::colour);
}

}  // namespace drumwatch
