// The body of a POST turned into what the engine is told. Every field is checked here, and all mistakes are
// named at once; what only the engine can know (is that alarm still active?) it answers itself.
//
// Fields of every command: client_id (1 to 64 characters; a retry carries the same one and acts once) and
// who (optional, up to 64). Times: ago_s counts back from the newest snapshot's tick, at_s counts from the
// charge of the roast in the drum; both are taken to the nearest tick of the grid.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "core/command.hpp"
#include "core/snapshot.hpp"
#include "web/api.hpp"
#include "web/problem.hpp"
#include "web/routes.hpp"

namespace drumwatch {

/// POST /api/target: which stored target, by name; empty: none.
struct TargetChoice {
    std::string name;
    std::string who;
    std::string client_id;
};

/// POST /api/sounders/test. Asked again while it runs, it goes on: the client id is not looked at.
struct SounderTestAsked {
    std::string who;
};

/// What to do, or the refusal: 400 not JSON, 422 a field is wrong, 409 no roast to count from.
using ParsedCommand =
    std::variant<Command, TargetChoice, FactsGiven, SounderTestAsked, ReminderDone, ProbeSaid, Response>;

/// `parameter`: the {id} of the path. Command::tick stays 0: the service stamps it.
ParsedCommand parse_command(Endpoint endpoint, std::string_view parameter, std::string_view body,
                            const Snapshot& now, std::int64_t tick_ms);

}  // namespace drumwatch
