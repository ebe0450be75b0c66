#include "web/status_parts.hpp"

#include <nlohmann/json.hpp>

#include "core/words.hpp"
#include "web/json_number.hpp"

namespace drumwatch {
namespace {

using Json = nlohmann::ordered_json;

Json target_json(const Snapshot& snapshot) {
    if (!snapshot.target) return nullptr;
    const Target& target = *snapshot.target;
    const auto& follow = snapshot.follow;
    const auto of_follow = [&](auto member) {
        return follow ? number_or_null((*follow).*member) : Json(nullptr);
    };
    return {{"name", target.name},
            {"version", target.version},
            {"status", std::string(name(target.status))},
            {"coffee", target.coffee},
            {"charge_kg", number_or_null(target.charge_kg)},
            {"bean_c", of_follow(&FollowView::target_c)},
            {"deviation_c", of_follow(&FollowView::deviation_c)},
            {"ahead_s", of_follow(&FollowView::ahead_s)},
            {"corridor_c", of_follow(&FollowView::corridor_c)},
            {"rise_deviation_per_min", of_follow(&FollowView::rise_deviation_per_min)},
            {"drift_per_min", of_follow(&FollowView::drift_per_min)},
            {"burner_more", of_follow(&FollowView::burner_more)},
            {"judged_now", follow && follow->judged_now},
            {"outside", follow && follow->outside},
            {"outside_for_s", follow ? number_or_null(follow->outside_for_s) : Json(0)},
            {"leaves_in_s", of_follow(&FollowView::leaves_in_s)}};
}

Json when_json(const Trigger& trigger) {
    return {{std::string(name(trigger.kind)), number_or_null(trigger.value)}};
}

Json next_move_json(const Snapshot& snapshot) {
    if (!snapshot.next_move || !snapshot.target || snapshot.next_move->planned < 0) return nullptr;
    const auto index = static_cast<std::size_t>(snapshot.next_move->planned);
    if (index >= snapshot.target->moves.size()) return nullptr;
    const PlannedMove& move = snapshot.target->moves[index];
    return {{"index", snapshot.next_move->planned}, {"control", std::string(name(move.control))},
            {"to", number_or_null(move.to)},        {"unit", std::string(name(move.unit))},
            {"when", when_json(move.when)},         {"in_s", number_or_null(snapshot.next_move->in_s)}};
}

Json move_json(const MoveView& move) {
    const bool planned = move.planned >= 0;
    const bool made = move.made_at_s.has_value();
    return {{"control", std::string(name(move.control))},
            {"unit", std::string(name(move.unit))},
            {"planned_index", planned ? Json(move.planned) : Json(nullptr)},
            {"planned_to", planned ? number_or_null(move.planned_level) : Json(nullptr)},
            {"planned_at_s", number_or_null(move.planned_at_s)},
            {"made_to", made ? number_or_null(move.made_level) : Json(nullptr)},
            {"made_at_s", number_or_null(move.made_at_s)},
            {"error_s", number_or_null(move.error_s)},
            {"judged", std::string(words(move.judgement))},
            {"tapped", move.tapped}};
}

Json forecast_json(const Snapshot& snapshot) {
    if (!snapshot.forecast) return nullptr;
    const ForecastView& forecast = *snapshot.forecast;
    const double now_s = snapshot.roast ? static_cast<double>(snapshot.roast->elapsed_ms) / 1000.0 : 0;
    Json crack = {{"at_s", number_or_null(forecast.at_s)},
                  {"in_s", number_or_null(forecast.at_s - now_s)},
                  {"low_s", number_or_null(forecast.low_s)},
                  {"high_s", number_or_null(forecast.high_s)},
                  {"crack_c", number_or_null(forecast.crack_c)},
                  {"crack_spread_c", number_or_null(forecast.crack_spread_c)},
                  {"from_target", forecast.from_target},
                  {"roasts", forecast.roasts},
                  {"by_target_s", number_or_null(forecast.by_target_s)},
                  {"pace_s", number_or_null(forecast.pace_s)},
                  {"heat_s", number_or_null(forecast.heat_s)}};
    return {{"first_crack", std::move(crack)}};
}

Json no_forecast_json(const Snapshot& snapshot) {
    if (snapshot.forecast || snapshot.no_forecast == NoForecast::none) return nullptr;
    return words(snapshot.no_forecast);
}

Json drop_json(const Snapshot& snapshot) {
    if (!snapshot.drop) return nullptr;
    const DropView& drop = *snapshot.drop;
    return {{"in_s", number_or_null(drop.in_s)},
            {"at_s", number_or_null(drop.at_s)},
            {"development_s", number_or_null(drop.development_s)},
            {"development_share", number_or_null(drop.development_share)}};
}

}  // namespace

Json number_or_null(std::optional<double> value) {
    const std::optional<double> rounded = thousandth(value);
    return rounded ? Json(*rounded) : Json(nullptr);
}

void add_following(Json& status, const Snapshot& snapshot) {
    status["target"] = target_json(snapshot);
    status["next_move"] = next_move_json(snapshot);
    status["moves"] = Json::array();
    for (const MoveView& move : snapshot.moves) status["moves"].push_back(move_json(move));
    status["forecast"] = forecast_json(snapshot);
    status["no_forecast"] = no_forecast_json(snapshot);
    status["drop"] = drop_json(snapshot);
    status["fan"] = Json::array();
    for (const FanPoint& point : snapshot.fan) {
        status["fan"].push_back({{"in_s", number_or_null(point.in_s)},
                                 {"low_c", number_or_null(point.low_c)},
                                 {"high_c", number_or_null(point.high_c)}});
    }
}

}  // namespace drumwatch
