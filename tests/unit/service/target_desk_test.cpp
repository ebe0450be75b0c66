// What the engine follows when target files were read again.
#include "service/target_desk.hpp"

#include <doctest/doctest.h>

#include "desk.hpp"

using namespace drumwatch;

namespace {

OfferedTarget version(int number, TargetStatus status = TargetStatus::trial) {
    Target target = straight_target();
    target.version = number;
    target.status = status;
    if (status != TargetStatus::approved) target.approved_by.clear();
    return {share(target), {}};
}

struct Shelf {
    Desk at;
    QueryDesk queries{at.folder.file("record.sqlite"), {}};
    TargetDesk targets{at.engine,    at.desk,  queries,
                       *at.recorder, at.clock, {version(1, TargetStatus::approved)}};

    void tick() {
        at.tick();
        targets.tick(at.engine.snapshot());
    }
    int followed() const { return at.engine.target() ? at.engine.target()->version : 0; }
};

}  // namespace

TEST_CASE("targets: a new version of what is followed is followed at once with an empty drum") {
    Shelf shelf;
    CHECK(shelf.followed() == 1);
    shelf.targets.take_over({version(2)});
    shelf.tick();
    CHECK(shelf.followed() == 2);
    CHECK(shelf.at.engine.target()->status == TargetStatus::trial);
    const auto kept = shelf.at.closed()->commands(1).value();  // so that a rerun follows it as well
    REQUIRE(kept.size() == 1);
    CHECK(kept[0].kind == "choose_target");
    CHECK(kept[0].who == "the configuration");
}

TEST_CASE("targets: a roast in the drum is judged by what it began with, the next one by the new version") {
    Shelf shelf;
    shelf.at.desk.take(shelf.at.command(CommandKind::mark), [](const CommandAnswer&) {});
    shelf.tick();
    REQUIRE(shelf.at.engine.snapshot().roast);
    shelf.targets.take_over({version(2)});
    for (int i = 0; i < 20; ++i) shelf.tick();
    CHECK(shelf.followed() == 1);
    shelf.at.desk.take(shelf.at.command(CommandKind::not_a_charge), [](const CommandAnswer&) {});
    shelf.tick();
    shelf.tick();
    CHECK(shelf.followed() == 2);
}

TEST_CASE("targets: one that is retired is followed no more, the same again changes nothing") {
    Shelf shelf;
    shelf.targets.take_over({version(1, TargetStatus::approved)});
    shelf.tick();
    CHECK(shelf.followed() == 1);
    shelf.targets.take_over({version(2, TargetStatus::retired)});
    shelf.tick();
    CHECK(shelf.followed() == 0);
    CHECK(shelf.at.closed()->commands(1).value().size() == 1);
}
