// The body of any POST, as bytes from outside: the first byte chooses the command, the rest is the body.
// Whatever comes, it is taken with fields inside their bounds or refused with a problem that is itself valid
// JSON.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string_view>

#include "web/command_json.hpp"

using namespace drumwatch;

namespace {

constexpr Endpoint kCommands[] = {Endpoint::mark,          Endpoint::withdraw_mark, Endpoint::move,
                                  Endpoint::acknowledge,   Endpoint::reset,         Endpoint::silence,
                                  Endpoint::choose_target, Endpoint::not_a_charge,  Endpoint::abort_roast,
                                  Endpoint::test_sounders, Endpoint::retime_move,   Endpoint::facts,
                                  Endpoint::test_sounders};

void demand(bool holds) {
    if (!holds) std::abort();
}

Snapshot roasting() {
    Snapshot snapshot;
    snapshot.tick = Tick{592'000};
    RoastView roast;
    roast.charge = Tick{100'000};
    snapshot.roast = roast;
    return snapshot;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const Snapshot now = roasting();
    if (size == 0) return 0;
    const std::string_view body(reinterpret_cast<const char*>(data + 1), size - 1);
    const ParsedCommand parsed =
        parse_command(kCommands[data[0] % std::size(kCommands)], "7", body, now, 250);
    if (const auto* command = std::get_if<Command>(&parsed)) {
        demand(command->at.ms >= 0 && command->at.ms % 250 == 0 && command->at.ms <= 7'300'000);
        demand(!command->client_id.empty() && command->client_id.size() <= 4 * 64);
        demand(command->who.size() <= 4 * 64 && command->text.size() <= 4 * 500);
        demand(command->level_milli >= 0 && command->level_milli <= 10'000'000);
    } else if (const auto* choice = std::get_if<TargetChoice>(&parsed)) {
        demand(!choice->client_id.empty() && choice->name.size() <= 4 * 200);
    } else if (const auto* asked = std::get_if<SounderTestAsked>(&parsed)) {
        demand(asked->who.size() <= 4 * 64);
    } else if (const auto* done = std::get_if<ReminderDone>(&parsed)) {
        demand(!done->client_id.empty() && !done->name.empty() && done->name.size() <= 4 * 80);
    } else if (const auto* given = std::get_if<FactsGiven>(&parsed)) {
        demand(given->roast == 7 && !given->facts.empty() && given->facts.size() <= 3);
        for (const FactGiven& fact : given->facts)
            demand(!fact.value || (*fact.value >= 0 && *fact.value <= 10'000));
    } else {
        const auto& refusal = std::get<Response>(parsed);
        demand(refusal.status == 400 || refusal.status == 409 || refusal.status == 422);
        demand(nlohmann::json::parse(*refusal.text)["status"] == refusal.status);
    }
    return 0;
}
