// Times of day are labels: the clock may be set while the daemon runs.
#include "desk.hpp"
#include "service/wall_steps.hpp"

using namespace drumwatch;

namespace {

class SettableClock : public Clock {
  public:
    std::int64_t steady = 0;
    std::int64_t unix_ms = 0;
    std::int64_t steady_ms() const override { return steady; }
    WallTime wall() const override { return {unix_ms}; }
    void pass(std::int64_t ms) {
        steady += ms;
        unix_ms += ms;
    }
};

constexpr std::int64_t kNow_ms = 1'764'000'000'000;

}  // namespace

TEST_CASE("a clock that is set tells when the watch began, one that is steered slowly says nothing") {
    SettableClock clock;  // a box without a battery: 1970
    WallSteps steps;
    steps.begin(Tick{1'000});
    Tick now{1'000};
    const auto look = [&](std::int64_t step_ms) {
        clock.pass(250);
        clock.unix_ms += step_ms;
        now = now + 250;
        return steps.look(clock, now);
    };
    for (int i = 0; i < 100; ++i) CHECK_FALSE(look(100));
    const auto began = look(kNow_ms);
    REQUIRE(began);
    CHECK(began->unix_ms == clock.unix_ms - (now - Tick{1'000}));
    CHECK_FALSE(look(0));
    CHECK(look(-3'000));
    CHECK_FALSE(look(-1'900));
}

TEST_CASE("once the clock is set, the watch and its roasts get their times of day") {
    Desk at;
    at.desk.take(at.command(CommandKind::mark), [](const CommandAnswer&) {});
    for (int i = 0; i < 40; ++i) at.tick();
    at.desk.take(at.command(CommandKind::mark, Milestone::drop), [](const CommandAnswer&) {});
    at.tick();
    at.books.relabel({kNow_ms});
    const auto reader = at.closed();
    CHECK(reader->watch(1).value()->began.unix_ms == kNow_ms);
    const auto roast = reader->roast(1).value();
    REQUIRE(roast);
    CHECK(roast->charged_at.unix_ms == kNow_ms + roast->charge.ms);
}

TEST_CASE("a client id of before the restart gets the answer that it got, and acts no second time") {
    Desk at;
    at.desk.remember("tablet-1", Refusal::none);
    at.desk.remember("tablet-2", Refusal::not_marked);
    std::vector<CommandAnswer> answers;
    for (const char* id : {"tablet-1", "tablet-2"}) {
        Command command = at.command(CommandKind::mark);
        command.client_id = id;
        at.desk.take(command, [&](const CommandAnswer& answer) { answers.push_back(answer); });
    }
    REQUIRE(answers.size() == 2);
    CHECK(answers[0].status == 200);
    CHECK(answers[0].recorded);
    CHECK(answers[1].status == 409);
    at.tick();
    CHECK_FALSE(at.engine.snapshot().roast);
    const auto reader = at.closed();
    CHECK(reader->commands(1).value().empty());
    CHECK(reader->newest_commands(10).value().empty());
}
