#include "desk.hpp"

using namespace drumwatch;

namespace {
constexpr auto kNobody = [](const CommandAnswer&) {};
}

TEST_CASE("a roast given up keeps its row, with what was known of it") {
    Desk at;
    at.desk.take(at.command(CommandKind::mark), kNobody);
    for (int i = 0; i < 500; ++i) at.tick();
    at.desk.take(at.command(CommandKind::mark, Milestone::first_crack), kNobody);
    at.tick();
    at.desk.take(at.command(CommandKind::abort_roast), kNobody);
    at.tick();
    const auto reader = at.closed();
    const auto roast = reader->roast(1).value();
    REQUIRE(roast);
    CHECK(roast->state == RoastState::aborted);
    CHECK(roast->target_name == "Straight");
    CHECK(roast->milestones[static_cast<std::size_t>(Milestone::first_crack)]);
}

TEST_CASE("a roast charged and given up between two ticks has its row too") {
    Desk at;
    at.desk.take(at.command(CommandKind::mark), kNobody);
    at.desk.take(at.command(CommandKind::not_a_charge), kNobody);
    at.tick();
    const auto reader = at.closed();
    const auto roast = reader->roast(1).value();
    REQUIRE(roast);
    CHECK(roast->state == RoastState::withdrawn);
    CHECK(roast->coffee == "Invented");
}

TEST_CASE("a roast in the drum at a clean stop is interrupted, a dropped one is finished") {
    for (const bool dropped : {false, true}) {
        CAPTURE(dropped);
        Desk at;
        at.desk.take(at.command(CommandKind::mark), kNobody);
        for (int i = 0; i < 20; ++i) at.tick();
        if (dropped) at.desk.take(at.command(CommandKind::mark, Milestone::drop), kNobody);
        at.tick();
        const auto reader = at.closed();
        const auto roast = reader->roast(1).value();
        REQUIRE(roast);
        CHECK(roast->state == (dropped ? RoastState::finished : RoastState::interrupted));
        CHECK(roast->verdict.has_value() == dropped);
    }
}
