// GET /api/probes.
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

template <typename T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json(nullptr);
}

}  // namespace

std::string ProbeDesk::json(const Snapshot& now) const {
    Json probes = Json::array();
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        if (channels_[i].unit != Unit::celsius) continue;
        const ChannelView& view = now.channel[i];
        const auto& recent = recent_[i];
        probes.push_back(
            {{"channel", channels_[i].name},
             {"quality", std::string(name(view.quality))},
             {"shows_c", is_good(view.quality) ? Json(from_milli(view.value_milli)) : Json(nullptr)},
             {"reads_c", recent.empty() ? Json(nullptr) : Json(from_milli(recent.back().reads_milli))},
             {"calibration", points_json(histories_[i].calibration)},
             {"last_check", check_json(histories_[i].last_check)},
             {"check_due_days", or_null(due_in_days(i))},
             {"epoch", epoch_json(histories_[i].epoch)}});
    }
    const auto pressure = rules_.altitude_m ? standard_pressure_hpa(*rules_.altitude_m) : std::nullopt;
    const Json site = {{"check_every_days", or_null(rules_.check_every_days)},
                       {"altitude_m", or_null(rules_.altitude_m)},
                       {"boiling_point_c", pressure ? or_null(boiling_point_c(*pressure)) : Json(nullptr)},
                       {"largest_correction_c", from_milli(rules_.largest_correction_milli)}};
    return Json{{"probes", probes}, {"site", site}}.dump();
}

}  // namespace drumwatch
