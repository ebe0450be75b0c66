// Changes to a target: the next version, on trial, and a sentence for each wrong one.
#include "files/target_edit.hpp"

#include <doctest/doctest.h>

#include "roast/target/target_curve.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

Target sample() {
    Target target = straight_target();
    target.points.clear();
    for (int t = 0; t <= 660; t += 10)
        target.points.push_back({t * 1.0, t < 60 ? 200 - 2.0 * t : 80 + 0.2 * (t - 60)});
    target.moves = {planned(Control::burner, 70, TriggerKind::at_s, 120),
                    planned(Control::airflow, 50, TriggerKind::bean_c, 150)};
    target.version = 3;
    return target;
}

Target edited(const TargetEdits& edits) {
    const auto target = edit_target(sample(), edits);
    REQUIRE_MESSAGE(target.ok(), target.error());
    return target.value();
}

std::string wrong(const TargetEdits& edits) {
    const auto target = edit_target(sample(), edits);
    REQUIRE(!target.ok());
    return target.error();
}

TargetEdits with(auto change) {
    TargetEdits edits;
    change(edits);
    return edits;
}

}  // namespace

TEST_CASE("an edited target is the next version, on trial unless approved anew") {
    const Target trial = edited(with([](TargetEdits& e) { e.tolerance = {"bean_c=1.4,hold_c=2.8"}; }));
    CHECK(trial.version == 4);
    CHECK(trial.status == TargetStatus::trial);
    CHECK(trial.approved_by.empty());
    CHECK(trial.tolerance.bean_c == 1.4);
    CHECK(trial.tolerance.hold_c == 2.8);
    const Target approved = edited(with([](TargetEdits& e) { e.approved_by = "A. Taster"; }));
    CHECK(approved.status == TargetStatus::approved);
    CHECK(approved.approved_by == "A. Taster");
    CHECK(edited(with([](TargetEdits& e) { e.retire = true; })).status == TargetStatus::retired);
    CHECK(TargetEdits{}.empty());
}

TEST_CASE("bands of weight loss and colour are set and taken away") {
    const Target banded = edited(with([](TargetEdits& e) {
        e.weight_loss = "13.5:15.5";
        e.colour = "55:60";
    }));
    CHECK(banded.weight_loss_pct == Band{13.5, 15.5});
    CHECK(banded.colour == Band{55, 60});
    const auto none = edit_target(banded, with([](TargetEdits& e) { e.colour = "none"; }));
    REQUIRE(none.ok());
    CHECK_FALSE(none.value().colour);
    CHECK(none.value().weight_loss_pct == Band{13.5, 15.5});
    for (const char* text : {"13.5", "15.5:13.5", "a:b", ":"})
        CHECK(wrong(with([&](TargetEdits& e) { e.weight_loss = text; })) ==
              std::string("--weight-loss ") + text + ": LOW:HIGH would be right, such as 13.5:15.5, or none");
}

TEST_CASE("an edited point takes its neighbourhood along, and nothing further on") {
    const Target soft = edited(with([](TargetEdits& e) { e.points = {"300=131"}; }));  // 3 degrees more
    const TargetCurve curve(share(soft));
    CHECK(curve.bean_at(300) == doctest::Approx(131));
    CHECK(curve.bean_at(290) == doctest::Approx(126 + 1.5));
    CHECK(curve.bean_at(310) == doctest::Approx(130 + 1.5));
    CHECK(curve.bean_at(320) == doctest::Approx(132));
    CHECK(curve.bean_at(600) == doctest::Approx(188));
    const Target lone = edited(with([](TargetEdits& e) {
        e.points = {"305=130"};
        e.width_s = 0;
    }));
    CHECK(lone.points.size() == sample().points.size() + 1);
    CHECK(TargetCurve(share(lone)).bean_at(300) == doctest::Approx(128));
    const Target crack = edited(with([](TargetEdits& e) { e.points = {"600=190"}; }));
    CHECK(*crack.milestones[static_cast<std::size_t>(Milestone::first_crack)]->bean_c ==
          doctest::Approx(190));
}

TEST_CASE("moves are changed, added and taken away by the numbers that were there before") {
    const Target target = edited(with([](TargetEdits& e) {
        e.moves = {"2:to=55,after_first_crack_s=10"};
        e.without_moves = {1};
        e.new_moves = {"burner:to=2.5,unit=kPa,at_s=200"};
        e.drop = "after_first_crack_s=50";
    }));
    REQUIRE(target.moves.size() == 2);
    CHECK(target.moves[0].control == Control::airflow);
    CHECK(target.moves[0].to == 55);
    CHECK(target.moves[0].when.kind == TriggerKind::after_first_crack_s);
    CHECK(target.moves[1].unit == LevelUnit::kilopascal);
    CHECK(target.moves[1].when.value == 200);
    CHECK(target.drop->kind == TriggerKind::after_first_crack_s);
}

TEST_CASE("a wrong change is named with what would be right") {
    struct Row {
        TargetEdits edits;
        const char* says;
    };
    const Row rows[] = {
        {with([](TargetEdits& e) { e.points = {"300"}; }), "--point 300: SECONDS=DEGREES would be right"},
        {with([](TargetEdits& e) { e.points = {"300=nan"}; }), "--point 300=nan: SECONDS=DEGREES"},
        {with([](TargetEdits& e) { e.points = {"700=200"}; }),
         "--point 700=200: the curve runs from 0 to 660 s"},
        {with([](TargetEdits& e) { e.points = {"300=390"}; }), "looks like degrees Fahrenheit"},
        {with([](TargetEdits& e) { e.moves = {"3:to=1"}; }), "--move 3:to=1: there is no move 3: 1 to 2"},
        {with([](TargetEdits& e) { e.moves = {"to=1"}; }), "NUMBER:KEY=VALUE would be right"},
        {with([](TargetEdits& e) { e.moves = {"1:level=1"}; }), "\"level=1\": to, at_s, bean_c"},
        {with([](TargetEdits& e) { e.moves = {"1:to=170"}; }),
         "/moves/0/to: is 170; a number from 0 to 100 %"},
        {with([](TargetEdits& e) { e.moves = {"1:at_s=700"}; }),
         "/moves/0/when: 700 s lies after the curve's end"},
        {with([](TargetEdits& e) { e.new_moves = {"flame:to=1"}; }),
         "burner:... or airflow:... would be right"},
        {with([](TargetEdits& e) { e.new_moves = {"burner:to=50"}; }),
         "a new move needs to=LEVEL and one of"},
        {with([](TargetEdits& e) { e.without_moves = {9}; }), "--remove-move 9: there is no move 9"},
        {with([](TargetEdits& e) { e.tolerance = {"bean=2"}; }), "--tolerance bean=2: bean_c, hold_c"},
        {with([](TargetEdits& e) { e.tolerance = {"bean_c=5"}; }), "narrower than bean_c, 5"},
        {with([](TargetEdits& e) { e.drop = "soon=1"; }), "--drop soon=1: one of bean_c"},
    };
    for (const Row& row : rows) {
        const std::string says = wrong(row.edits);
        CHECK_MESSAGE(says.find(row.says) != std::string::npos, row.says, "\n", says);
    }
}
