#include "alarms/prompt_chimes.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

Snapshot roasting(std::uint64_t roast, std::initializer_list<PromptView> prompts) {
    Snapshot now;
    now.roast.emplace();
    now.roast->id = roast;
    for (const PromptView& prompt : prompts) now.prompts.push_back(prompt);
    return now;
}

PromptView move(std::int16_t planned, double in_s) { return {PromptKind::move_due, in_s, planned}; }

}  // namespace

TEST_CASE("a move chimes once, five seconds ahead, and the next one again") {
    PromptChimes chimes;
    CHECK_FALSE(chimes.look(roasting(1, {move(0, 20)})));
    CHECK_FALSE(chimes.look(roasting(1, {move(0, 5.1)})));
    CHECK(chimes.look(roasting(1, {move(0, 5)})));
    CHECK_FALSE(chimes.look(roasting(1, {move(0, 4.75)})));
    CHECK_FALSE(chimes.look(roasting(1, {})));
    CHECK(chimes.look(roasting(1, {move(1, -1)})));
    CHECK(chimes.look(roasting(2, {move(0, 2)})));  // another batch
}

TEST_CASE("a forecast that moves away and comes back chimes no second time") {
    PromptChimes chimes;
    CHECK(chimes.look(roasting(1, {{PromptKind::first_crack_near, 4.0}})));
    CHECK_FALSE(chimes.look(roasting(1, {{PromptKind::first_crack_near, 9.0}})));
    CHECK_FALSE(chimes.look(roasting(1, {{PromptKind::first_crack_near, 4.0}})));
    CHECK(chimes.look(roasting(1, {{PromptKind::drop_near, 4.0}})));
}

TEST_CASE("what is late, outside or only said chimes never") {
    PromptChimes chimes;
    for (const PromptKind kind :
         {PromptKind::move_overdue, PromptKind::first_crack_not_marked, PromptKind::outside_corridor,
          PromptKind::leaving_corridor, PromptKind::ready_to_charge, PromptKind::charge_not_as_planned})
        CHECK_FALSE(chimes.look(roasting(1, {{kind, 1.0}})));
    CHECK_FALSE(chimes.look(roasting(1, {{PromptKind::move_due, std::nullopt, 0}})));
}
