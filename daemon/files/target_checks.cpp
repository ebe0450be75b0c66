#include "files/target_checks.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/milestone.hpp"

namespace drumwatch {
namespace {

/// How far over the curve's hottest point a trigger may lie and still be meant: points are rounded and
/// thinned.
constexpr double kOverCurve_c = 5;

/// Coffee that reads more is in degrees Fahrenheit, or burns.
constexpr double kHottestCoffee_c = 300;

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
    for (std::size_t i = 0; i < target.moves.size(); ++i) {
        if (const auto why = never_comes(target.moves[i].when, extent)) {
            const JsonNode& move = object.find("moves")->items[i];
            complain_at(object, pointer_to(object.pointer("moves"), i) + "/when", child(&move, "when"), *why);
        }
    }
    if (target.drop) {
        if (const auto why = never_comes(*target.drop, extent)) object.complain("drop", *why);
    }
}

}  // namespace drumwatch
