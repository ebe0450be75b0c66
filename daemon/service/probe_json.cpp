// GET /api/probes.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "drivers/sensors/boiling_point.hpp"
#include "service/probe_desk.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

Json utc(WallTime at) { return utc_text(at); }

Json check_json(const std::optional<ProbeRow>& check) {
    if (!check) return nullptr;
    return {{"at", utc(check->at)},
            {"who", check->who},
            {"method", check->method},
            {"reads_c", from_milli(check->reads_milli.value_or(0))},
            {"is_c", from_milli(check->is_milli.value_or(0))},
            {"note", check->note}};
}

Json epoch_json(const std::optional<ProbeRow>& epoch) {
    if (!epoch) return nullptr;
    return {{"at", utc(epoch->at)},
            {"who", epoch->who},
            {"what", std::string(name(epoch->act))},
            {"note", epoch->note}};
}

Json points_json(const Calibration& calibration) {
    Json points = Json::array();
    for (const CalibrationPoint& point : calibration)
        points.push_back({{"reads_c", from_milli(point.reads_milli)}, {"is_c", from_milli(point.is_milli)}});
    return points;
}

/// What a device printed may be anything.
std::string printable(std::string_view text) {
    std::string clean;
    for (const char byte : text) clean += byte >= ' ' && byte <= '~' ? byte : '?';
    return clean;
}

template <typename T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json(nullptr);
}

/// Only the kinds that there were.
template <typename Fault, typename Counts>
Json counts_json(const Counts& counts) {
    Json faults = Json::object();
    for (std::size_t i = 1; i < counts.size(); ++i)
        if (counts[i] > 0) faults[std::string(name(static_cast<Fault>(i)))] = counts[i];
    return faults;
}

Json faults_json(const FaultCounts& counts) { return counts_json<LinkFault>(counts); }

/// Of a quality and a doubt at once, the quality: a doubt is of readings that are used.
Json probe_fault_json(const ChannelView& view) {
    const ProbeFault of_quality = fault_of(view.quality);
    const ProbeFault fault = of_quality != ProbeFault::none ? of_quality : fault_of(view.doubt);
    if (fault == ProbeFault::none) return nullptr;
    return {{"name", std::string(name(fault))},
            {"sentence", std::string(sentence(fault))},
            {"look_first", std::string(look_first(fault))}};
}

Json raw_json(const RawValue& raw) {
    switch (raw.kind) {
        case RawValue::Kind::one_word:
            return fmt::format("{:04X}", raw.words[0]);
        case RawValue::Kind::two_words:
            return fmt::format("{:04X} {:04X}", raw.words[0], raw.words[1]);
        case RawValue::Kind::text:
            return printable(raw.text());
        case RawValue::Kind::none:
            break;
    }
    return nullptr;
}

double ms_of(std::int64_t us) { return static_cast<double>(us) / 1000; }

Json link_json(const BusRoom::LinkState& link) {
    const BusCounters& counted = link.counters;
    Json json = {{"bus", link.bus},
                 {"silent", link.silent},
                 {"polls", counted.polls},
                 {"reconnects", counted.reconnects},
                 {"round_trip_median_ms", ms_of(counted.median_round_trip_us)},
                 {"round_trip_worst_ms", ms_of(counted.worst_round_trip_us)},
                 {"faults", faults_json(counted.faults)},
                 {"complaint", counted.complaint},
                 {"look_first", Json::array()}};
    for (std::size_t i = 1; i < counted.faults.size(); ++i)
        if (counted.faults[i] > 0)
            json["look_first"].push_back(std::string(look_first(static_cast<LinkFault>(i))));
    return json;
}

/// What its link says of a channel.
void add_wire(Json& probe, std::size_t channel, const std::vector<BusRoom::LinkState>& links) {
    for (const BusRoom::LinkState& link : links) {
        for (const ChannelCounters& counted : link.channels) {
            if (counted.channel != channel) continue;
            probe["bus"] = link.bus;
            probe["readings"] = counted.readings;
            probe["raw"] = raw_json(counted.raw);
            probe["faults"] = faults_json(counted.faults);
        }
    }
}

}  // namespace

std::string ProbeDesk::json(const Snapshot& now, const std::vector<BusRoom::LinkState>& links) const {
    Json probes = Json::array();
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        if (channels_[i].unit != Unit::celsius) continue;
        const ChannelView& view = now.channel[i];
        const auto& recent = recent_[i];
        probes.push_back(
            {{"channel", channels_[i].name},
             {"quality", std::string(name(view.quality))},
             {"probe_fault", probe_fault_json(view)},
             {"probe_faults", counts_json<ProbeFault>(faults_.counts(i))},
             {"shows_c", is_good(view.quality) ? Json(from_milli(view.value_milli)) : Json(nullptr)},
             {"reads_c", recent.empty() ? Json(nullptr) : Json(from_milli(recent.back().reads_milli))},
             {"calibration", points_json(histories_[i].calibration)},
             {"last_check", check_json(histories_[i].last_check)},
             {"check_due_days", or_null(due_in_days(i))},
             {"epoch", epoch_json(histories_[i].epoch)}});
        add_wire(probes.back(), i, links);
    }
    Json wires = Json::array();
    for (const BusRoom::LinkState& link : links) wires.push_back(link_json(link));
    const auto pressure = rules_.altitude_m ? standard_pressure_hpa(*rules_.altitude_m) : std::nullopt;
    const Json site = {{"check_every_days", or_null(rules_.check_every_days)},
                       {"altitude_m", or_null(rules_.altitude_m)},
                       {"boiling_point_c", pressure ? or_null(boiling_point_c(*pressure)) : Json(nullptr)},
                       {"largest_correction_c", from_milli(rules_.largest_correction_milli)}};
    return Json{{"probes", probes}, {"site", site}, {"links", wires}}.dump(-1, ' ', false,
                                                                           Json::error_handler_t::replace);
}

}  // namespace drumwatch
