#include "web/routes.hpp"

#include <algorithm>
#include <array>
#include <optional>

#include "web/http.hpp"

namespace drumwatch {
namespace {

constexpr std::array kRoutes{
    Route{"GET", "/api/status", Endpoint::status},
    Route{"GET", "/api/live", Endpoint::live},
    Route{"GET", "/api/history", Endpoint::history},
    Route{"GET", "/api/openapi.json", Endpoint::openapi},
    Route{"GET", "/healthz", Endpoint::health},
    Route{"GET", "/metrics", Endpoint::metrics},
    Route{"GET", "/api/roasts", Endpoint::query},
    Route{"GET", "/api/roasts/{id}", Endpoint::query},
    Route{"GET", "/api/roasts/{id}.csv", Endpoint::query},
    Route{"POST", "/api/roasts/{id}/facts", Endpoint::facts},
    Route{"GET", "/api/targets", Endpoint::query},
    Route{"GET", "/api/targets/{name}", Endpoint::query},
    Route{"POST", "/api/marks", Endpoint::mark},
    Route{"POST", "/api/marks/withdraw", Endpoint::withdraw_mark},
    Route{"POST", "/api/moves", Endpoint::move},
    Route{"POST", "/api/moves/retime", Endpoint::retime_move},
    Route{"GET", "/api/alarms/figures", Endpoint::query},
    Route{"POST", "/api/alarms/silence", Endpoint::silence},
    Route{"POST", "/api/alarms/shelve", Endpoint::shelve},
    Route{"POST", "/api/alarms/unshelve", Endpoint::unshelve},
    Route{"POST", "/api/alarms/out-of-service", Endpoint::out_of_service},
    Route{"POST", "/api/alarms/return-to-service", Endpoint::return_to_service},
    Route{"POST", "/api/alarms/{id}/acknowledge", Endpoint::acknowledge},
    Route{"POST", "/api/alarms/{id}/reset", Endpoint::reset},
    Route{"POST", "/api/sounders/test", Endpoint::test_sounders},
    Route{"POST", "/api/reminders/done", Endpoint::reminder_done},
    Route{"GET", "/api/probes", Endpoint::probes},
    Route{"POST", "/api/probes/check", Endpoint::probe_check},
    Route{"POST", "/api/probes/calibrate", Endpoint::probe_calibrate},
    Route{"POST", "/api/probes/change", Endpoint::probe_change},
    Route{"POST", "/api/target/confirm", Endpoint::confirm_target},
    Route{"POST", "/api/target", Endpoint::choose_target},
    Route{"POST", "/api/roast/not-a-charge", Endpoint::not_a_charge},
    Route{"POST", "/api/roast/abort", Endpoint::abort_roast},
};

bool is_id(std::string_view text) {
    return !text.empty() && text.size() <= 15 && text.front() != '0' &&
           std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// The parameter (empty where the pattern has none), or nothing where the path does not fit.
std::optional<std::string> fit(std::string_view pattern, std::string_view path) {
    const std::size_t open = pattern.find('{');
    if (open == std::string_view::npos) {
        return path == pattern ? std::optional<std::string>("") : std::nullopt;
    }
    const std::string_view tail = pattern.substr(pattern.find('}') + 1);
    const bool long_enough = path.size() > open + tail.size();
    if (!long_enough || !path.starts_with(pattern.substr(0, open)) || !path.ends_with(tail)) {
        return std::nullopt;
    }
    const std::string_view middle = path.substr(open, path.size() - open - tail.size());
    if (middle.find('/') != std::string_view::npos) return std::nullopt;
    if (pattern.find("{id}") != std::string_view::npos && !is_id(middle)) return std::nullopt;
    return percent_decoded(middle);
}

}  // namespace

std::span<const Route> routes() { return kRoutes; }

RouteMatch find_route(std::string_view method, std::string_view path) {
    RouteMatch match;
    for (const Route& route : kRoutes) {
        std::optional<std::string> parameter = fit(route.path, path);
        if (!parameter) continue;
        match.allow = route.method == "GET" ? "GET, HEAD" : "POST";
        if (method == route.method || (method == "HEAD" && route.method == "GET")) {
            match.route = &route;
            match.parameter = std::move(*parameter);
            return match;
        }
    }
    return match;
}

}  // namespace drumwatch
