// The body of any POST, as bytes from outside: the first byte chooses the command, the rest is the body.
// Whatever comes, it is taken with fields inside their bounds or refused with a problem that is itself valid
// JSON.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <variant>

#include "web/command_json.hpp"

using namespace drumwatch;

namespace {

constexpr Endpoint kCommands[] = {Endpoint::mark,          Endpoint::withdraw_mark, Endpoint::move,
                                  Endpoint::acknowledge,   Endpoint::reset,         Endpoint::silence,
                                  Endpoint::choose_target, Endpoint::not_a_charge,  Endpoint::abort_roast,
                                  Endpoint::test_sounders, Endpoint::retime_move,   Endpoint::facts,
                                  Endpoint::reminder_done, Endpoint::probe_check,   Endpoint::probe_calibrate,
                                  Endpoint::probe_change,  Endpoint::confirm_target};

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

/// Of UTF-8, whose characters have up to four bytes.
void demand_text(const std::string& text, std::size_t most_characters) {
    demand(text.size() <= 4 * most_characters);
}

void demand_of(const ProbeChecked& said) {
    const bool compared = said.method == "comparison";
    demand(compared || said.method == "ice_point" || said.method == "boiling_point");
    demand(compared == said.is_c.has_value());
    demand(!said.is_c || (*said.is_c >= -273.15 && *said.is_c <= 2000));
    demand(!said.pressure_hpa || (*said.pressure_hpa >= 300 && *said.pressure_hpa <= 1200));
    demand(!said.pressure_hpa || said.method == "boiling_point");
    demand(!said.channel.empty());
    demand_text(said.note, 200);
}

void demand_of(const ProbeCalibrated& said) {
    demand(said.points.size() <= 5 && !said.channel.empty());
    for (const auto& point : said.points) {
        demand(point.reads_c >= -273.15 && point.reads_c <= 2000);
        demand(point.is_c >= -273.15 && point.is_c <= 2000);
    }
    demand_text(said.note, 200);
}

void demand_of(const ProbeChanged& said) {
    demand(said.what == "wiped" || said.what == "moved" || said.what == "replaced");
    demand(!said.channel.empty());
    demand_text(said.note, 200);
}

void demand_of(const TargetConfirmed& said) {
    demand(!said.name.empty());
    demand_text(said.name, 200);
}

/// Each has a person and an id, and holds its own bounds.
template <typename Said>
void demand_probe(const Said& said) {
    demand(!said.who.empty() && !said.client_id.empty());
    demand_text(said.who, 64);
    demand_text(said.client_id, 64);
    demand_of(said);
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
    } else if (const auto* of_probe = std::get_if<ProbeSaid>(&parsed)) {
        std::visit([](const auto& said) { demand_probe(said); }, *of_probe);
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
