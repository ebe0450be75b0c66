#include "files/target_edit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <functional>
#include <numbers>

#include "files/target_json.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {
namespace {

struct Assignment {
    std::string key;
    std::string text;
    std::optional<double> number;
};

std::optional<double> plain_number(std::string_view text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value))
        return std::nullopt;
    return value;
}

/// "to=65,at_s=80"
Result<std::vector<Assignment>> assignments(std::string_view text) {
    std::vector<Assignment> all;
    while (!text.empty()) {
        const std::string_view one = text.substr(0, text.find(','));
        text.remove_prefix(std::min(text.size(), one.size() + 1));
        const std::size_t equals = one.find('=');
        if (equals == std::string_view::npos || equals == 0)
            return Error{fmt::format("\"{}\": KEY=VALUE would be right", one)};
        const std::string_view value = one.substr(equals + 1);
        all.push_back({std::string(one.substr(0, equals)), std::string(value), plain_number(value)});
    }
    if (all.empty()) return Error{"says nothing: KEY=VALUE would be right"};
    return all;
}

std::optional<TriggerKind> trigger_kind(std::string_view key) {
    for (const TriggerKind kind : {TriggerKind::at_s, TriggerKind::bean_c, TriggerKind::after_first_crack_s})
        if (key == name(kind)) return kind;
    return std::nullopt;
}

std::optional<LevelUnit> level_unit(std::string_view text) {
    for (const LevelUnit unit : {LevelUnit::percent, LevelUnit::kilopascal, LevelUnit::step})
        if (text == name(unit)) return unit;
    return std::nullopt;
}

/// What a change of the curve does `away_s` from it: all at 0, nothing from `width_s` on, without a corner.
double share(double away_s, double width_s) {
    if (away_s <= 0) return 1;
    return away_s < width_s ? (1 + std::cos(std::numbers::pi * away_s / width_s)) / 2 : 0;
}

class Editing {
  public:
    Editing(const Target& target, double width_s) : target_(target), width_s_(width_s) {}

    std::optional<Error> point(const std::string& text) {
        const std::size_t equals = text.find('=');
        const auto t_s = plain_number(std::string_view(text).substr(0, equals));
        const auto bean_c =
            equals == std::string::npos ? std::nullopt : plain_number(text.substr(equals + 1));
        if (!t_s || !bean_c) return Error{"SECONDS=DEGREES would be right, such as 300=162.5"};
        if (*t_s < target_.points.front().t_s || *t_s > target_.points.back().t_s)
            return Error{fmt::format("the curve runs from {:g} to {:g} s", target_.points.front().t_s,
                                     target_.points.back().t_s)};
        bend(*t_s, *bean_c);
        return std::nullopt;
    }

    std::optional<Error> move(const std::string& text) {
        const std::size_t colon = text.find(':');
        const auto number = plain_number(std::string_view(text).substr(0, colon));
        if (colon == std::string::npos || !number)
            return Error{"NUMBER:KEY=VALUE would be right, such as 2:to=65"};
        const auto planned = find(*number);
        if (!planned) return no_such_move(*number);
        return change(*planned.value(), text.substr(colon + 1));
    }

    std::optional<Error> new_move(const std::string& text) {
        const std::size_t colon = text.find(':');
        const auto control = control_from_name(std::string_view(text).substr(0, colon));
        if (colon == std::string::npos || !control)
            return Error{"burner:... or airflow:... would be right, such as burner:to=70,unit=%,at_s=65"};
        const std::string rest = text.substr(colon + 1);
        PlannedMove planned;
        planned.control = *control;
        if (auto error = change(planned, rest)) return error;
        const bool triggered = std::any_of(kTriggers.begin(), kTriggers.end(), [&](TriggerKind kind) {
            return rest.find(std::string(name(kind)) + "=") != std::string::npos;
        });
        if (rest.find("to=") == std::string::npos || !triggered)
            return Error{"a new move needs to=LEVEL and one of at_s, bean_c and after_first_crack_s"};
        added_.push_back(planned);
        return std::nullopt;
    }

    std::optional<Error> without(int number) {
        if (!find(number)) return no_such_move(number);
        gone_.push_back(static_cast<std::size_t>(number - 1));
        return std::nullopt;
    }

    std::optional<Error> tolerance(const std::string& text) {
        struct Key {
            std::string_view name;
            double Tolerance::*member;
        };
        static constexpr std::array<Key, 9> kKeys{{{"bean_c", &Tolerance::bean_c},
                                                   {"hold_c", &Tolerance::hold_c},
                                                   {"rise_s", &Tolerance::rise_s},
                                                   {"outside_s", &Tolerance::outside_s},
                                                   {"from_s", &Tolerance::from_s},
                                                   {"move_s", &Tolerance::move_s},
                                                   {"end_taste_c", &Tolerance::end_taste_c},
                                                   {"end_hold_c", &Tolerance::end_hold_c},
                                                   {"gap_s", &Tolerance::gap_s}}};
        const auto changes = assignments(text);
        if (!changes) return Error{changes.error()};
        for (const Assignment& change : changes.value()) {
            const auto key =
                std::find_if(kKeys.begin(), kKeys.end(), [&](const Key& k) { return k.name == change.key; });
            if (key == kKeys.end() || !change.number)
                return Error{
                    "bean_c, hold_c, rise_s, outside_s, from_s, move_s, end_taste_c, end_hold_c or gap_s "
                    "and a number would be right, such as bean_c=1.4"};
            target_.tolerance.*(key->member) = *change.number;
        }
        return std::nullopt;
    }

    std::optional<Error> drop(const std::string& text) {
        const auto changes = assignments(text);
        if (!changes) return Error{changes.error()};
        const Assignment& rule = changes.value().front();
        const auto kind = trigger_kind(rule.key);
        if (!kind || !rule.number || changes.value().size() != 1)
            return Error{"one of bean_c, after_first_crack_s and at_s would be right, such as bean_c=212"};
        target_.drop = Trigger{*kind, *rule.number};
        return std::nullopt;
    }

    std::optional<Error> weight_loss(const std::string& text) { return band(text, target_.weight_loss_pct); }
    std::optional<Error> colour(const std::string& text) { return band(text, target_.colour); }

    Target done() {
        std::sort(gone_.rbegin(), gone_.rend());
        gone_.erase(std::unique(gone_.begin(), gone_.end()), gone_.end());
        for (const std::size_t i : gone_)
            target_.moves.erase(target_.moves.begin() + static_cast<std::ptrdiff_t>(i));
        target_.moves.insert(target_.moves.end(), added_.begin(), added_.end());
        return std::move(target_);
    }

  private:
    static constexpr std::array kTriggers{TriggerKind::at_s, TriggerKind::bean_c,
                                          TriggerKind::after_first_crack_s};

    static std::optional<Error> band(const std::string& text, std::optional<Band>& into) {
        into.reset();
        if (text == "none") return std::nullopt;
        const std::size_t colon = text.find(':');
        const auto low = plain_number(std::string_view(text).substr(0, colon));
        const auto high = colon == std::string::npos ? std::nullopt : plain_number(text.substr(colon + 1));
        if (!low || !high || *low >= *high)
            return Error{"LOW:HIGH would be right, such as 13.5:15.5, or none"};
        into = Band{*low, *high};
        return std::nullopt;
    }

    std::optional<PlannedMove*> find(double number) {
        const bool is_one = number >= 1 && number <= static_cast<double>(target_.moves.size()) &&
                            number == std::floor(number);
        if (!is_one) return std::nullopt;
        return &target_.moves[static_cast<std::size_t>(number) - 1];
    }
    Error no_such_move(double number) const {
        return Error{target_.moves.empty() ? std::string("the target has no moves")
                                           : fmt::format("there is no move {:g}: 1 to {} would be right",
                                                         number, target_.moves.size())};
    }
    static std::optional<Error> change(PlannedMove& move, const std::string& text) {
        const auto changes = assignments(text);
        if (!changes) return Error{changes.error()};
        for (const Assignment& one : changes.value()) {
            const auto kind = trigger_kind(one.key);
            const auto unit = one.key == "unit" ? level_unit(one.text) : std::nullopt;
            if (kind && one.number)
                move.when = {*kind, *one.number};
            else if (one.key == "to" && one.number)
                move.to = *one.number;
            else if (unit)
                move.unit = *unit;
            else
                return Error{
                    fmt::format("\"{}={}\": to, at_s, bean_c or after_first_crack_s and a number, or unit=%, "
                                "unit=kPa or unit=step would be right",
                                one.key, one.text)};
        }
        return std::nullopt;
    }
    /// The point, and with it what lies near.
    void bend(double t_s, double bean_c) {
        const double by_c = bean_c - TargetCurve(std::make_shared<const Target>(target_)).bean_at(t_s);
        const auto rounded = [](double value) { return std::round(value * 1000) / 1000; };
        for (TargetPoint& point : target_.points)
            point.bean_c = rounded(point.bean_c + by_c * share(std::fabs(point.t_s - t_s), width_s_));
        for (auto& milestone : target_.milestones)
            if (milestone && milestone->bean_c)
                milestone->bean_c =
                    rounded(*milestone->bean_c + by_c * share(std::fabs(milestone->at_s - t_s), width_s_));
        const auto before = [](const TargetPoint& point, double t) { return point.t_s < t; };
        const auto at = std::lower_bound(target_.points.begin(), target_.points.end(), t_s, before);
        if (at->t_s != t_s) target_.points.insert(at, {t_s, bean_c});
    }

    Target target_;
    double width_s_;
    std::vector<std::size_t> gone_;
    std::vector<PlannedMove> added_;
};

/// The option that a wrong change stood in comes before what is wrong with it.
template <typename List, typename Change>
std::optional<Error> each(const List& list, std::string_view option, Change change) {
    for (const auto& one : list)
        if (const auto error = change(one))
            return Error{fmt::format("{} {}: {}", option, one, error->message)};
    return std::nullopt;
}

std::optional<Error> apply(Editing& editing, const TargetEdits& edits) {
    std::optional<Error> error;
    const auto run = [&](const auto& list, std::string_view option, auto method) {
        if (!error)
            error = each(list, option, [&](const auto& one) { return std::invoke(method, editing, one); });
    };
    run(edits.points, "--point", &Editing::point);
    run(edits.moves, "--move", &Editing::move);
    run(edits.without_moves, "--remove-move", &Editing::without);
    run(edits.new_moves, "--add-move", &Editing::new_move);
    run(edits.tolerance, "--tolerance", &Editing::tolerance);
    if (!edits.drop.empty()) run(std::array{edits.drop}, "--drop", &Editing::drop);
    if (!edits.weight_loss.empty())
        run(std::array{edits.weight_loss}, "--weight-loss", &Editing::weight_loss);
    if (!edits.colour.empty()) run(std::array{edits.colour}, "--colour", &Editing::colour);
    return error;
}

}  // namespace

bool TargetEdits::empty() const {
    return points.empty() && moves.empty() && new_moves.empty() && without_moves.empty() &&
           tolerance.empty() && drop.empty() && weight_loss.empty() && colour.empty() &&
           approved_by.empty() && !retire;
}

Result<Target> edit_target(const Target& target, const TargetEdits& edits) {
    Editing editing(target, edits.width_s);
    if (auto error = apply(editing, edits)) return *error;
    Target edited = editing.done();
    edited.version = target.version + 1;
    edited.approved_by = edits.approved_by;
    edited.status = edits.retire                ? TargetStatus::retired
                    : edits.approved_by.empty() ? TargetStatus::trial
                                                : TargetStatus::approved;
    return parse_target(write_target(edited));
}

}  // namespace drumwatch
