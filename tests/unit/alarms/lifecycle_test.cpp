// The table of states and acts, written down a second time: ANSI/ISA-18.2 (states and paths from memory of
// the standard); each cell is the state after, "-" where the act is not possible and nothing changes.
#include "alarms/lifecycle.hpp"

#include <doctest/doctest.h>

#include <array>
#include <string_view>

using namespace drumwatch;

namespace {

using Row = std::array<std::string_view, kAlarmActs>;

// Columns as AlarmAct: onset, clear, acknowledge, reset, shelve, unshelve, timer, suppress, release, take
// out, put back. Of an alarm that does not latch, and whose condition does not hold.
constexpr std::array<Row, kAlarmStates> kTable{{
    /* unknown */ {"unacknowledged", "normal", "-", "-", "-", "-", "-", "suppressed", "-", "out_of_service",
                   "-"},
    /* normal */
    {"unacknowledged", "-", "-", "-", "shelved", "-", "-", "suppressed", "-", "out_of_service", "-"},
    /* unacknowledged */
    {"-", "returned_unacknowledged", "acknowledged", "-", "shelved", "-", "unacknowledged", "suppressed", "-",
     "out_of_service", "-"},
    /* acknowledged */
    {"-", "normal", "-", "-", "shelved", "-", "unacknowledged", "suppressed", "-", "out_of_service", "-"},
    /* returned_unacknowledged */
    {"unacknowledged", "-", "normal", "-", "shelved", "-", "-", "suppressed", "-", "out_of_service", "-"},
    /* latched_unacknowledged */
    {"unacknowledged", "-", "latched_acknowledged", "-", "-", "-", "-", "-", "-", "out_of_service", "-"},
    /* latched_acknowledged */
    {"unacknowledged", "-", "-", "normal", "-", "-", "-", "-", "-", "out_of_service", "-"},
    /* shelved */ {"-", "-", "-", "-", "-", "normal", "normal", "-", "-", "out_of_service", "-"},
    /* suppressed */ {"-", "-", "-", "-", "-", "-", "-", "-", "normal", "out_of_service", "-"},
    /* out_of_service */ {"-", "-", "-", "-", "-", "-", "-", "-", "-", "-", "normal"},
}};

std::string_view word(const std::optional<AlarmState>& state) { return state ? name(*state) : "-"; }

}  // namespace

TEST_CASE("each act in each state leads where the standard's table says, or changes nothing") {
    for (std::size_t state = 0; state < kAlarmStates; ++state) {
        for (std::size_t act = 0; act < kAlarmActs; ++act) {
            CAPTURE(name(static_cast<AlarmState>(state)));
            CAPTURE(act);
            CHECK(word(after(static_cast<AlarmState>(state), static_cast<AlarmAct>(act), {})) ==
                  kTable[state][act]);
        }
    }
}

TEST_CASE("an alarm that latches stays until it is acknowledged and reset") {
    const AlarmNature latches{true, false};
    CHECK(after(AlarmState::unacknowledged, AlarmAct::clear, latches) == AlarmState::latched_unacknowledged);
    CHECK(after(AlarmState::acknowledged, AlarmAct::clear, latches) == AlarmState::latched_acknowledged);
}

TEST_CASE("back from the shelf, from suppression or into service: unacknowledged where the condition holds") {
    const AlarmNature holds{false, true};
    CHECK(after(AlarmState::shelved, AlarmAct::unshelve, holds) == AlarmState::unacknowledged);
    CHECK(after(AlarmState::shelved, AlarmAct::timer, holds) == AlarmState::unacknowledged);
    CHECK(after(AlarmState::suppressed, AlarmAct::release, holds) == AlarmState::unacknowledged);
    CHECK(after(AlarmState::out_of_service, AlarmAct::put_back, holds) == AlarmState::unacknowledged);
}
