// The writing half of target_json.hpp. Laid out by hand: one point a line would make files of a thousand
// lines, and the order of keys is part of what "stable" means.
#include <fmt/format.h>

#include <cassert>
#include <cmath>
#include <nlohmann/json.hpp>

#include "files/target_json.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kPointsPerLine = 8;

std::string text(const std::string& value) {
    return nlohmann::json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

/// The shortest digits that read back as the same number.
std::string number(double value) {
    assert(std::isfinite(value));
    return fmt::format("{}", value == 0 ? 0.0 : value);  // no minus zero
}

void put(std::string& out, std::string_view key, const std::string& value) {
    out += fmt::format(",\n  \"{}\": {}", key, value);
}

std::string points_text(const std::vector<TargetPoint>& points) {
    std::string out = "[";
    for (std::size_t i = 0; i < points.size(); ++i) {
        if (i > 0) out += ",";
        out += i % kPointsPerLine == 0 ? "\n    " : " ";
        out += fmt::format("[{}, {}]", number(points[i].t_s), number(points[i].bean_c));
    }
    return out + "\n  ]";
}

std::string milestones_text(const Target& target) {
    std::string out = "{";
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto& milestone = target.milestones[i];
        if (!milestone) continue;
        out += out.size() > 1 ? ",\n    " : "\n    ";
        out +=
            fmt::format("\"{}\": {{\"at_s\": {}", name(static_cast<Milestone>(i)), number(milestone->at_s));
        if (milestone->bean_c) out += fmt::format(", \"bean_c\": {}", number(*milestone->bean_c));
        if (milestone->spread_s) out += fmt::format(", \"spread_s\": {}", number(*milestone->spread_s));
        out += "}";
    }
    return out + "\n  }";
}

std::string trigger_text(const Trigger& trigger) {
    return fmt::format("{{\"{}\": {}}}", name(trigger.kind), number(trigger.value));
}

std::string moves_text(const std::vector<PlannedMove>& moves) {
    std::string out = "[";
    for (std::size_t i = 0; i < moves.size(); ++i) {
        const PlannedMove& move = moves[i];
        out += i > 0 ? ",\n    " : "\n    ";
        out += fmt::format("{{\"control\": \"{}\", \"to\": {}, \"unit\": \"{}\", \"when\": {}}}",
                           name(move.control), number(move.to), name(move.unit), trigger_text(move.when));
    }
    return out + (moves.empty() ? "]" : "\n  ]");
}

std::string tolerance_text(const Tolerance& t) {
    return fmt::format(
        "{{\"bean_c\": {}, \"hold_c\": {}, \"rise_s\": {}, \"outside_s\": {}, \"from_s\": {}, "
        "\"move_s\": {},\n                \"end_taste_c\": {}, \"end_hold_c\": {}, \"gap_s\": {}}}",
        number(t.bean_c), number(t.hold_c), number(t.rise_s), number(t.outside_s), number(t.from_s),
        number(t.move_s), number(t.end_taste_c), number(t.end_hold_c), number(t.gap_s));
}

bool has_milestones(const Target& target) {
    for (const auto& milestone : target.milestones) {
        if (milestone) return true;
    }
    return false;
}

std::string band_text(const Band& band) { return "[" + number(band.low) + ", " + number(band.high) + "]"; }

}  // namespace

std::string write_target(const Target& target) {
    std::string out = "{\n  \"drumwatch_target\": 1";
    put(out, "name", text(target.name));
    put(out, "version", std::to_string(target.version));
    put(out, "status", text(std::string(name(target.status))));
    if (!target.approved_by.empty()) put(out, "approved_by", text(target.approved_by));
    if (!target.station.empty()) put(out, "station", text(target.station));
    if (!target.coffee.empty()) put(out, "coffee", text(target.coffee));
    if (!target.seeded_from.empty()) put(out, "seeded_from", text(target.seeded_from));
    if (target.charge_kg) put(out, "charge_kg", number(*target.charge_kg));
    if (target.weight_loss_pct) put(out, "weight_loss_pct", band_text(*target.weight_loss_pct));
    if (target.colour) put(out, "colour", band_text(*target.colour));
    put(out, "points", points_text(target.points));
    if (!target.exhaust_points.empty()) put(out, "exhaust_points", points_text(target.exhaust_points));
    if (has_milestones(target)) put(out, "milestones", milestones_text(target));
    if (!target.moves.empty()) put(out, "moves", moves_text(target.moves));
    if (target.drop) put(out, "drop", trigger_text(*target.drop));
    put(out, "tolerance", tolerance_text(target.tolerance));
    return out + "\n}\n";
}

}  // namespace drumwatch
