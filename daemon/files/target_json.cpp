#include "files/target_json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

#include "files/file_bytes.hpp"
#include "files/roast_csv.hpp"
#include "files/target_checks.hpp"
#include "files/target_from_roast.hpp"
#include "files/target_keys.hpp"
#include "files/tolerance_json.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxTargetBytes = 8 * 1024 * 1024;
constexpr std::size_t kMaxMistakesShown = 8;
constexpr std::size_t kMaxPoints = 20'000;
constexpr std::size_t kMaxMoves = 40;  // a snapshot holds 64, planned and extra ones
constexpr NumberRange kRoastSeconds{0, 7200, "s"};
constexpr NumberRange kBeanDegrees{-20, 350, "°C"};  // an empty drum may read more than any coffee
constexpr NumberRange kWeightLoss{0, 40, "%"};
constexpr NumberRange kColour{0, 1000, ""};
constexpr NumberRange kExhaustDegrees{-20, 600, "°C"};

/// A wrong point ends the list: one mistake is enough to go on with.
bool read_point(const JsonNode& node, const std::string& pointer, NumberRange degrees, TargetPoint& point,
                std::vector<JsonMistake>& mistakes) {
    const auto complain = [&](std::string message) {
        mistakes.push_back({pointer, std::move(message), node.place});
        return false;
    };
    if (node.kind != JsonKind::list || node.items.size() != 2 || !node.items[0].is_number() ||
        !node.items[1].is_number()) {
        return complain("a point is [seconds since charge, °C]");
    }
    point = {node.items[0].number, node.items[1].number};
    if (!(point.t_s >= kRoastSeconds.low && point.t_s <= kRoastSeconds.high)) {
        return complain(fmt::format("time {} s; from 0 to {} s since charge would be right", point.t_s,
                                    kRoastSeconds.high));
    }
    if (!(point.bean_c >= degrees.low && point.bean_c <= degrees.high)) {
        return complain(fmt::format("{} is out of range, from {} to {} °C{}", point.bean_c, degrees.low,
                                    degrees.high,
                                    point.bean_c > degrees.high && point.bean_c < 700
                                        ? "; this looks like degrees Fahrenheit, targets are in °C"
                                        : ""));
    }
    return true;
}

void read_points(JsonObject& object, std::string_view key, NumberRange degrees,
                 std::vector<TargetPoint>& into) {
    const auto items = object.list(key, 2, kMaxPoints);
    for (std::size_t i = 0; i < items.size(); ++i) {
        const std::string pointer = pointer_to(object.pointer(key), i);
        TargetPoint point;
        if (!read_point(items[i], pointer, degrees, point, object.mistakes())) return;
        if (!into.empty() && !(point.t_s > into.back().t_s)) {
            object.mistakes().push_back(
                {pointer,
                 fmt::format("time {} s is not after the point before, {} s: times must increase", point.t_s,
                             into.back().t_s),
                 items[i].place});
            return;
        }
        into.push_back(point);
    }
}

void read_milestones(JsonObject& target, Target& into) {
    static constexpr std::array<JsonKey, kMilestones> kKeys{
        {{"charge"}, {"turning_point"}, {"yellow"}, {"first_crack"}, {"second_crack"}, {"drop"}}};
    auto milestones = target.object("milestones", kKeys);
    if (!milestones) return;
    for (std::size_t i = 0; i < kMilestones; ++i) {
        auto one = milestones->object(name(static_cast<Milestone>(i)), kTargetMilestoneKeys);
        TargetMilestone milestone;
        if (!one || !one->read("at_s", milestone.at_s, kRoastSeconds)) continue;
        double bean_c = 0;
        if (one->read("bean_c", bean_c, kBeanDegrees)) milestone.bean_c = bean_c;
        double spread_s = 0;
        if (one->read("spread_s", spread_s, kRoastSeconds)) milestone.spread_s = spread_s;
        into.milestones[i] = milestone;
    }
}

std::optional<Trigger> read_trigger(JsonObject& parent, std::string_view key) {
    auto object = parent.object(key, kTriggerKeys);
    if (!object) return std::nullopt;
    std::optional<Trigger> trigger;
    int given = 0;
    for (const TriggerKind kind :
         {TriggerKind::at_s, TriggerKind::bean_c, TriggerKind::after_first_crack_s}) {
        if (!object->has(name(kind))) continue;
        ++given;
        Trigger read{kind, 0};
        if (object->read(name(kind), read.value,
                         kind == TriggerKind::bean_c ? kBeanDegrees : kRoastSeconds)) {
            trigger = read;
        }
    }
    if (given == 1) return trigger;
    object->complain_here("give exactly one of \"at_s\", \"bean_c\" or \"after_first_crack_s\"");
    return std::nullopt;
}

void read_moves(JsonObject& target, Target& into) {
    static constexpr std::array<std::string_view, kControls> kControlWords{"burner", "airflow"};
    static constexpr std::array<std::string_view, 3> kUnitWords{"%", "kPa", "step"};
    const auto items = target.list("moves", 0, kMaxMoves);
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject object(items[i], pointer_to(target.pointer("moves"), i), kTargetMoveKeys,
                          target.mistakes());
        const auto control = object.choice("control", kControlWords);
        const auto unit = object.choice("unit", kUnitWords);
        const auto when = read_trigger(object, "when");
        PlannedMove move;
        const std::string_view symbol = unit ? kUnitWords[*unit] : std::string_view{};
        if (!object.read("to", move.to, {0, 100, symbol}) || !control || !unit || !when) continue;
        move.control = static_cast<Control>(*control);
        move.unit = static_cast<LevelUnit>(*unit);
        move.when = *when;
        into.moves.push_back(move);
    }
}

std::optional<Band> read_band(JsonObject& object, std::string_view key, NumberRange range) {
    const auto items = object.list(key, 2, 2);
    if (items.empty()) return std::nullopt;
    for (const JsonNode& item : items) {
        if (item.is_number() && item.number >= range.low && item.number <= range.high) continue;
        object.complain(key, fmt::format("two numbers from {} to {}{}{} would be right", range.low,
                                         range.high, range.unit.empty() ? "" : " ", range.unit));
        return std::nullopt;
    }
    if (items[0].number < items[1].number) return Band{items[0].number, items[1].number};
    object.complain(key, "the lower number comes first, and then a higher one");
    return std::nullopt;
}

void read_labels(JsonObject& object, Target& into) {
    static constexpr std::array<std::string_view, 3> kStatusWords{"trial", "approved", "retired"};
    std::int64_t number = 1;
    if (object.read("drumwatch_target", number, {1, 1'000'000}) && number != 1) {
        object.complain("drumwatch_target",
                        fmt::format("is {}: written for a newer Drumwatch; this one reads 1", number));
    }
    number = into.version;
    if (object.read("version", number, {1, 1'000'000})) into.version = static_cast<int>(number);
    object.read("name", into.name, 80);
    object.read("approved_by", into.approved_by, 80);
    object.read("station", into.station, 80);
    object.read("coffee", into.coffee, 80);
    object.read("seeded_from", into.seeded_from, 200);
    if (const auto status = object.choice("status", kStatusWords)) {
        into.status = static_cast<TargetStatus>(*status);
    }
    double charge_kg = 0;
    if (object.read("charge_kg", charge_kg, {0.01, 1000, "kg"})) into.charge_kg = charge_kg;
    into.weight_loss_pct = read_band(object, "weight_loss_pct", kWeightLoss);
    into.colour = read_band(object, "colour", kColour);
}

void read_whole(const JsonNode& root, Target& into, std::vector<JsonMistake>& mistakes) {
    JsonObject object(root, "", kTargetKeys, mistakes);
    read_labels(object, into);
    read_points(object, "points", kBeanDegrees, into.points);
    read_points(object, "exhaust_points", kExhaustDegrees, into.exhaust_points);
    read_milestones(object, into);
    read_moves(object, into);
    if (auto drop = read_trigger(object, "drop")) into.drop = drop;
    if (auto tolerance = object.object("tolerance", kToleranceKeys))
        read_tolerance(*tolerance, into.tolerance);
    if (mistakes.empty()) check_target(object, into);
}

std::string sentence(const std::vector<JsonMistake>& mistakes) {
    std::string out;
    for (std::size_t i = 0; i < std::min(mistakes.size(), kMaxMistakesShown); ++i) {
        const JsonMistake& mistake = mistakes[i];
        if (i > 0) out += "; ";
        if (mistake.place.line > 0) out += fmt::format("{}:{}: ", mistake.place.line, mistake.place.column);
        out += mistake.pointer.empty() ? mistake.message : mistake.pointer + ": " + mistake.message;
    }
    if (mistakes.size() > kMaxMistakesShown) {
        out += fmt::format("; and {} more", mistakes.size() - kMaxMistakesShown);
    }
    return out;
}

bool ends_with(std::string_view path, std::string_view end) {
    return path.size() >= end.size() && path.substr(path.size() - end.size()) == end;
}

}  // namespace

Result<Target> parse_target(const std::string& text, const Tolerance& defaults) {
    const JsonReading reading = read_json(text, JsonComments::allowed);
    Target target;
    target.tolerance = defaults;
    std::vector<JsonMistake> mistakes;
    if (reading.root) read_whole(*reading.root, target, mistakes);
    if (!reading.mistakes.empty()) return Error{sentence(reading.all(std::move(mistakes)))};
    if (!mistakes.empty()) return Error{sentence(mistakes)};
    return target;
}

Result<Target> read_target(const std::string& path, const Tolerance& defaults) {
    if (ends_with(path, ".csv") || ends_with(path, ".csv.gz")) {
        const auto roast = read_roast_csv(path);
        if (!roast) return Error{roast.error()};
        return target_from_roast(roast.value(), path, defaults);
    }
    if (!ends_with(path, ".json")) {
        return Error{path + ": a target is a .json file, or a roast as .csv or .csv.gz"};
    }
    const auto bytes = read_file_bytes(path, kMaxTargetBytes);
    if (!bytes) return Error{path + ": " + bytes.error()};
    auto target = parse_target(bytes.value(), defaults);
    if (!target) return Error{path + ": " + target.error()};
    return target;
}

}  // namespace drumwatch
