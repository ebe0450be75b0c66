// The one table of paths: what the server answers, with which methods. openapi.json describes the same, and a
// test holds the two together.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace drumwatch {

enum class Endpoint : std::uint8_t {
    status,
    live,
    history,
    openapi,
    health,
    metrics,
    query,  ///< answered by Api::query
    mark,
    withdraw_mark,
    move,
    retime_move,
    acknowledge,
    reset,
    silence,
    shelve,
    unshelve,
    out_of_service,
    return_to_service,
    choose_target,
    facts,
    not_a_charge,
    abort_roast,
    test_sounders,
    reminder_done,
    probe_check,
    probe_calibrate,
    probe_change,
    confirm_target,
    probes,
};

struct Route {
    std::string_view method;  ///< "GET" (HEAD goes with it) or "POST"
    std::string_view path;    ///< {id} is a whole number above 0, {name} any one segment
    Endpoint endpoint = Endpoint::status;
};

std::span<const Route> routes();

/// What fits a method and path. `route` null and `allow` empty: 404; `route` null and `allow` set: 405.
struct RouteMatch {
    const Route* route = nullptr;
    std::string parameter;  ///< the decoded {id} or {name}
    std::string_view allow;
};
RouteMatch find_route(std::string_view method, std::string_view path);

}  // namespace drumwatch
