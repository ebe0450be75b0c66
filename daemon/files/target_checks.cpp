#include "files/target_checks.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/milestone.hpp"
#include "core/target_words.hpp"

namespace drumwatch {
namespace {

/// How far over the curve's hottest point a trigger may lie and still be meant: points are rounded and
/// thinned.
constexpr double kOverCurve_c = 5;

/// Coffee that reads more is in degrees Fahrenheit, or burns.
constexpr double kHottestCoffee_c = 300;

/// A drop rule so far before the curve's end is a slip (judgement, no source).
constexpr double kDropBeforeEnd_s = 180;

struct Extent {
    double first_s;
    double last_s;
    double hottest_c;
};

Extent extent_of(const Target& target) {
    const auto cooler = [](const TargetPoint& a, const TargetPoint& b) { return a.bean_c < b.bean_c; };
    // The charge is the hottest moment of many curves: only what comes after the coldest point counts.
    const auto coldest = std::min_element(target.points.begin(), target.points.end(), cooler);
    const auto hottest = std::max_element(coldest, target.points.end(), cooler);
    return {target.points.front().t_s, target.points.back().t_s, hottest->bean_c};
}

void complain_at(JsonObject& object, std::string pointer, const JsonNode* place, std::string message) {
    object.mistakes().push_back(
        {std::move(pointer), std::move(message), place != nullptr ? place->place : TextPlace{}});
}

const JsonNode* child(const JsonNode* node, std::string_view key) {
    if (node == nullptr) return nullptr;
    for (const JsonNode& item : node->items) {
        if (item.key == key) return &item;
    }
    return nullptr;
}

void check_milestones(JsonObject& object, const Target& target, const Extent& extent) {
    std::optional<std::size_t> before;
    for (std::size_t i = 0; i < kMilestones; ++i) {
        if (!target.milestones[i]) continue;
        const auto milestone = static_cast<Milestone>(i);
        const double at_s = target.milestones[i]->at_s;
        const std::string pointer = pointer_to(object.pointer("milestones"), name(milestone));
        const JsonNode* place = child(object.find("milestones"), name(milestone));
        if (at_s < extent.first_s || at_s > extent.last_s) {
            complain_at(object, pointer, place,
                        fmt::format("at {} s lies outside the curve, which runs from {} to {} s", at_s,
                                    extent.first_s, extent.last_s));
        } else if (before && at_s < target.milestones[*before]->at_s) {
            complain_at(
                object, pointer, place,
                fmt::format("at {} s comes before {}, {} s", at_s, words(static_cast<Milestone>(*before)),
                            target.milestones[*before]->at_s));
        }
        before = i;
    }
}

/// Nothing, or why this trigger can never come.
std::optional<std::string> never_comes(const Trigger& trigger, const Extent& extent) {
    if (trigger.kind == TriggerKind::at_s && trigger.value > extent.last_s) {
        return fmt::format("{} s lies after the curve's end, {} s", trigger.value, extent.last_s);
    }
    if (trigger.kind == TriggerKind::bean_c && trigger.value > extent.hottest_c + kOverCurve_c) {
        return fmt::format("{} °C is over anything on the curve, at most {} °C", trigger.value,
                           extent.hottest_c);
    }
    return std::nullopt;
}

/// When the curve passes this temperature for the last time on its way up; its end where it never does.
double last_passed(const Target& target, double bean_c) {
    for (std::size_t i = target.points.size() - 1; i > 0; --i) {
        const TargetPoint& from = target.points[i - 1];
        const TargetPoint& to = target.points[i];
        if (from.bean_c >= bean_c || to.bean_c < bean_c) continue;
        return from.t_s + (to.t_s - from.t_s) * (bean_c - from.bean_c) / (to.bean_c - from.bean_c);
    }
    return target.points.back().t_s;
}

/// A drop is where the curve ends: nothing that comes after it would be roasted.
void check_drop(JsonObject& object, const Target& target, const Extent& extent) {
    if (!target.drop) return;
    if (const auto why = never_comes(*target.drop, extent)) return object.complain("drop", *why);
    if (target.drop->kind == TriggerKind::after_first_crack_s) return;
    const bool at_time = target.drop->kind == TriggerKind::at_s;
    const double at_s = at_time ? target.drop->value : last_passed(target, target.drop->value);
    if (extent.last_s - at_s <= kDropBeforeEnd_s) return;
    object.complain("drop",
                    fmt::format("{} comes {:.0f} s into the curve, which goes on to {:g} s: the drop is "
                                "at a curve's end",
                                words(*target.drop), at_s, extent.last_s));
}

/// What no hand can do: two levels of one control at one moment, or levels in two units.
void check_moves(JsonObject& object, const Target& target, const Extent& extent) {
    for (std::size_t i = 0; i < target.moves.size(); ++i) {
        const PlannedMove& move = target.moves[i];
        const JsonNode& place = object.find("moves")->items[i];
        const std::string pointer = pointer_to(object.pointer("moves"), i);
        if (const auto why = never_comes(move.when, extent))
            complain_at(object, pointer + "/when", child(&place, "when"), *why);
        for (std::size_t k = 0; k < i; ++k) {
            const PlannedMove& other = target.moves[k];
            if (other.control != move.control) continue;
            if (other.when == move.when) {
                complain_at(
                    object, pointer + "/when", child(&place, "when"),
                    fmt::format("is the moment of move {} of the {}, too", k + 1, name(move.control)));
            }
            if (other.unit != move.unit) {
                complain_at(object, pointer + "/unit", child(&place, "unit"),
                            fmt::format("the {} is in {} here and in {} in move {}", name(move.control),
                                        name(move.unit), name(other.unit), k + 1));
                break;
            }
        }
    }
}

}  // namespace

void check_target(JsonObject& object, const Target& target) {
    const Extent extent = extent_of(target);
    if (extent.hottest_c > kHottestCoffee_c) {
        return object.complain("points",
                               fmt::format("rise to {} after the turning point; this looks like degrees "
                                           "Fahrenheit, targets are in °C",
                                           extent.hottest_c));
    }
    check_milestones(object, target, extent);
    check_moves(object, target, extent);
    check_drop(object, target, extent);
}

}  // namespace drumwatch
