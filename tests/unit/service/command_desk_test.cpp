#include <algorithm>
#include <vector>

#include "desk.hpp"

using namespace drumwatch;

TEST_CASE("a command is answered after its commit, and its client id makes a retry act once") {
    Desk at;
    std::vector<CommandAnswer> answers;
    const auto keep = [&](const CommandAnswer& answer) { answers.push_back(answer); };
    Command move = at.command(CommandKind::mark);
    move.client_id = "tablet-1-17";
    at.desk.take(move, keep);
    at.desk.take(move, keep);  // sent again before the answer came
    CHECK(answers.empty());
    at.inbox.run_one();
    REQUIRE(answers.size() == 2);
    for (const CommandAnswer& answer : answers) CHECK(answer.status == 200);
    at.desk.take(move, keep);  // and again afterwards
    REQUIRE(answers.size() == 3);
    CHECK(answers[2].status == 200);
    at.tick();
    CHECK(at.engine.snapshot().roast->id == 1);
    const auto reader = at.closed();
    CHECK(reader->commands(1).value().size() == 1);
}

TEST_CASE("a refused command says why, with the status of its kind, and is kept as refused") {
    Desk at;
    std::vector<CommandAnswer> answers;
    const auto keep = [&](const CommandAnswer& answer) { answers.push_back(answer); };
    at.desk.take(at.command(CommandKind::mark, Milestone::drop), keep);
    Command future = at.command(CommandKind::mark);
    future.at = future.at + 60'000;
    at.desk.take(future, keep);
    Command acknowledge = at.command(CommandKind::acknowledge);
    acknowledge.occurrence = 99;
    at.desk.take(acknowledge, keep);
    REQUIRE(answers.size() == 3);
    CHECK(answers[0].status == 409);
    CHECK(answers[0].text == "nothing is in the drum");
    CHECK(answers[1].status == 422);
    CHECK(answers[2].status == 404);
    const auto reader = at.closed();
    const auto kept = reader->commands(1).value();
    REQUIRE(kept.size() == 3);
    for (const CommandRow& row : kept) CHECK(row.body.find("\"refused\"") != std::string::npos);
}

TEST_CASE("an id that somebody still waits for is not forgotten, however many come after it") {
    Desk at;
    int answered = 0;
    const auto count = [&](const CommandAnswer&) { ++answered; };
    Command charge = at.command(CommandKind::mark);
    charge.client_id = "the first";
    at.desk.take(charge, count);  // its commit is not heard of yet
    for (int i = 0; i < 600; ++i) {
        Command refused = at.command(CommandKind::withdraw_mark, Milestone::second_crack);
        refused.client_id = "another " + std::to_string(i);
        at.desk.take(refused, [](const CommandAnswer&) {});
    }
    at.desk.take(charge, count);
    at.inbox.run_one();
    CHECK(answered == 2);
    const auto reader = at.closed();
    const auto kept = reader->commands(1).value();
    CHECK(std::count_if(kept.begin(), kept.end(), [](const CommandRow& row) { return row.kind == "mark"; }) ==
          1);
}

TEST_CASE("of two tablets that mark at once the later one is told, and the first mark stands") {
    Desk at;
    at.desk.take(at.command(CommandKind::mark), [](const CommandAnswer&) {});
    for (int i = 0; i < 500; ++i) at.tick();
    std::vector<CommandAnswer> answers;
    const auto keep = [&](const CommandAnswer& answer) { answers.push_back(answer); };
    Command first = at.command(CommandKind::mark, Milestone::first_crack);
    first.seen = at.engine.snapshot().sequence;
    first.who = "left tablet";
    Command second = first;  // both saw no crack marked
    second.who = "right tablet";
    second.client_id = "right-1";
    at.desk.take(first, keep);
    at.tick();
    at.tick();
    const auto mark = [&] { return at.engine.snapshot().roast->milestones[3]; };
    REQUIRE(mark());
    const Tick stands = mark()->at;
    second.at = at.engine.snapshot().tick;
    at.desk.take(second, keep);
    at.tick();
    REQUIRE(answers.size() == 1);  // the first one's commit is not heard of yet
    CHECK(answers[0].status == 409);
    CHECK(answers[0].text.find("first crack was marked by left tablet") == 0);
    CHECK(mark()->at == stands);
    at.desk.take(second, keep);  // a retry of the same gets the same
    REQUIRE(answers.size() == 2);
    CHECK(answers[1].text == answers[0].text);
    second.client_id = "right-2";
    second.seen = at.engine.snapshot().sequence;  // now it has been seen
    at.desk.take(second, keep);
    at.tick();
    CHECK(mark()->at == second.at);
    second.kind = CommandKind::withdraw_mark;
    second.client_id = "left-2";
    second.seen -= 1;
    at.desk.take(second, keep);
    CHECK(answers.back().status == 409);
}
