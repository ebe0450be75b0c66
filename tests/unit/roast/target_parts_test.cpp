// What a target is made of: smooth curves, level changes, the clock of a move, doubts, seeds.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/target_words.hpp"
#include "roast/target/control_levels.hpp"
#include "roast/target/local_fit.hpp"
#include "roast/target/made_moves.hpp"
#include "roast/target/seed.hpp"
#include "roast/target/self_check.hpp"
#include "support/random.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

constexpr double kValley_c = 77;

/// A valley of 0.01 C/s^2 at 60 s, by arithmetic.
double valley(double t_s) { return kValley_c + 0.005 * (t_s - 60) * (t_s - 60); }

std::vector<LevelReading> levels(double step_s, double jitter, TestRandom& random, auto level_at) {
    std::vector<LevelReading> readings;
    for (double t_s = -10; t_s <= 300; t_s += step_s)
        readings.push_back({t_s, level_at(t_s) + jitter * random.normal()});
    return readings;
}

/// 70 until 100 s, then a ramp of 5 s to 60.
double ramp(double t_s) { return t_s < 100 ? 70 : t_s > 105 ? 60 : 70 - 2 * (t_s - 100); }

bool has(const std::vector<TargetDoubt>& doubts, TargetDoubtKind kind) {
    return std::any_of(doubts.begin(), doubts.end(), [&](const TargetDoubt& d) { return d.kind == kind; });
}

/// A believable target of 13 points.
Target usual_target() {
    Target target = straight_target();
    target.points = {{0, 200}, {15, 140}, {30, 105}, {60, 80}, {90, 84}, {150, 104}};
    for (double t_s = 200; t_s <= 660; t_s += 20)
        target.points.push_back({t_s, 120 + (t_s - 200) * 80 / 460});
    target.milestones[static_cast<std::size_t>(Milestone::first_crack)] = TargetMilestone{600, 189.6};
    return target;
}

}  // namespace

TEST_CASE("a local fit keeps a valley's depth, lets spikes go, and says a straight line as it is") {
    TestRandom random(4);
    std::vector<TargetPoint> readings;
    for (double t_s = 0; t_s <= 120; t_s += 0.5) {
        const double spike = readings.size() % 37 == 20 ? 25 : 0;
        readings.push_back({t_s, valley(t_s) + 0.1 * random.normal() + spike});
    }
    const LocalFit fit(readings);
    const auto bottom = fit.at(60, 8);
    REQUIRE(bottom);
    CHECK(bottom->value == doctest::Approx(kValley_c).epsilon(0.001));
    CHECK(std::fabs(bottom->per_second) < 0.03);
    double mean = 0;
    int count = 0;
    for (const TargetPoint& point : readings)
        if (std::fabs(point.t_s - 60) <= 8) mean += valley(point.t_s), ++count;
    CHECK(mean / count > kValley_c + 0.09);  // what a running mean would make of it

    std::vector<TargetPoint> line;
    for (int i = 0; i < 40; ++i) line.push_back({i * 1.0, 100 + 0.2 * i});
    const auto middle = LocalFit(line).at(20.3, 6);
    REQUIRE(middle);
    CHECK(middle->value == doctest::Approx(104.06));
    CHECK(middle->per_second == doctest::Approx(0.2));
    CHECK_FALSE(LocalFit(line).at(200, 6));
}

TEST_CASE("level changes: dated by their beginning, at 1, 2 and 4 Hz, jittering, stepped or as a ramp") {
    for (const double step_s : {0.25, 0.5, 1.0}) {
        for (const double jitter : {0.0, 0.35, 0.5}) {
            CAPTURE(step_s);
            CAPTURE(jitter);
            TestRandom random(11);
            const auto changes = level_changes(levels(step_s, jitter, random, ramp), 0.8);
            REQUIRE(changes.size() == 1);
            CHECK(std::fabs(changes[0].at_s - 100) <= 1.5);
            CHECK(std::fabs(changes[0].from - 70) < 0.3);
            CHECK(std::fabs(changes[0].to - 60) < 0.3);
            const auto step = [](double t_s) { return t_s < 80 ? 40.0 : t_s < 200 ? 43.0 : 55.0; };
            const auto two = level_changes(levels(step_s, jitter, random, step), 0.8);
            REQUIRE(two.size() == 2);
            CHECK(std::fabs(two[0].at_s - 80) <= 1.1);
            CHECK(std::fabs(two[1].at_s - 200) <= 1.1);
        }
    }
}

TEST_CASE("level changes: a glitch, a wobble and a level that stays are none, and two moves are two") {
    TestRandom random(12);
    const auto glitch = [](double t_s) { return t_s > 100 && t_s < 101.1 ? 95.0 : 70.0; };
    CHECK(level_changes(levels(0.25, 0.4, random, glitch), 0.8).empty());
    const auto wobble = [](double t_s) { return 70 + 0.3 * std::sin(t_s / 20); };
    CHECK(level_changes(levels(0.5, 0.3, random, wobble), 0.8).empty());
    CHECK(level_changes({}, 0.8).empty());
    CHECK(level_changes({{0, 50}}, 0.8).empty());
    const auto apart = [](double t_s) { return t_s < 100 ? 54.0 : t_s < 106 ? 63.0 : 69.0; };
    CHECK(level_changes(levels(0.25, 0.3, random, apart), 0.8).size() == 2);
}

TEST_CASE("the clock of a move: a time, unless a temperature or first crack is clearly steadier") {
    Happenings seen;
    seen.per_second = 0.15;
    seen.at_s = {300, 318, 282, 330, 291};
    seen.bean_c = {150.1, 149.8, 150.2, 150.0, 149.9};
    const ChosenTrigger by_bean = choose_trigger(seen, TriggerKind::at_s);
    CHECK(by_bean.changed);
    CHECK(by_bean.trigger.kind == TriggerKind::bean_c);
    CHECK(by_bean.trigger.value == 150);
    CHECK(by_bean.usual_s > 3 * by_bean.spread_s);
    seen.after_crack_s = {20, 20.5, 19.5, 20, 20};
    seen.bean_c = {150, 152.5, 147.6, 154.2, 149};
    CHECK(choose_trigger(seen, TriggerKind::at_s).trigger.kind == TriggerKind::after_first_crack_s);
    seen.after_crack_s = {-20, -20.5, -19.5, -20, -20};  // before it: no clock
    CHECK_FALSE(choose_trigger(seen, TriggerKind::at_s).changed);
    seen.bean_c = {150.1, 149.8, 150.2, 150.0, 149.9};
    seen.at_s = {300, 302, 299, 301, 298};  // hands that keep a time need no other clock
    CHECK_FALSE(choose_trigger(seen, TriggerKind::at_s).changed);
    seen.at_s = {300, 318};
    seen.bean_c = {150.1, 150};
    CHECK(choose_trigger(seen, TriggerKind::at_s)
              .changed);  // two, and one may be late; but they meet elsewhere
    seen.bean_c = {150.1, 149.4};
    CHECK_FALSE(choose_trigger(seen, TriggerKind::at_s).changed);  // not closely enough
    seen.bean_c = {150.1, 150};
    seen.at_s = {300, 309};
    CHECK_FALSE(choose_trigger(seen, TriggerKind::at_s).changed);  // near enough in time for two hands
    seen.at_s = {300};
    seen.bean_c = {150};
    CHECK_FALSE(choose_trigger(seen, TriggerKind::at_s).changed);
}

TEST_CASE("the clock of a move: times that scatter together with their temperatures stay times") {
    TestRandom random(21);
    int changed = 0;
    for (int i = 0; i < 1000; ++i) {
        Happenings seen;
        seen.per_second = 0.15;
        for (int k = 0; k < 5; ++k) {
            seen.at_s.push_back(300 + 8 * random.normal());
            seen.bean_c.push_back(150 + 0.15 * 8 * random.normal());
        }
        changed += choose_trigger(seen, TriggerKind::at_s).changed ? 1 : 0;
    }
    MESSAGE("seed 21: of 1000 moves with no steadier clock, ", changed, " got one");
    CHECK(changed > 5);
    CHECK(changed < 90);
}

TEST_CASE("a believable target has nothing to say of itself, and a trial one says that") {
    CHECK(doubts_about(usual_target()).empty());
    Target trial = usual_target();
    trial.status = TargetStatus::trial;
    trial.seeded_from = "sample.csv";
    const auto doubts = doubts_about(trial);
    REQUIRE(doubts.size() == 2);
    CHECK(words(doubts[0], trial).find("trial target") != std::string::npos);
    CHECK(words(doubts[1], trial).find("sample roast of another machine (sample.csv)") != std::string::npos);
    trial.status = TargetStatus::retired;
    CHECK(has(doubts_about(trial), TargetDoubtKind::retired));
}

TEST_CASE("a target doubts what no roast is, each with value, limit and place") {
    const auto of = [](auto change) {
        Target target = usual_target();
        change(target);
        return doubts_about(target);
    };
    CHECK(has(of([](Target& t) { t.points = {{0, 200}, {660, 210}}; }), TargetDoubtKind::few_points));
    CHECK(has(of([](Target& t) { t.points.erase(t.points.begin(), t.points.begin() + 4); }),
              TargetDoubtKind::starts_late));
    CHECK(has(of([](Target& t) {
                  for (auto& p : t.points) p.t_s *= 2.5;
              }),
              TargetDoubtKind::turning_point_time));
    CHECK(has(of([](Target& t) { t.points[3].bean_c = 45; }), TargetDoubtKind::turning_point_bean));
    CHECK(has(of([](Target& t) { t.points[10].bean_c -= 12; }), TargetDoubtKind::falls));
    CHECK(has(of([](Target& t) { t.points[10].bean_c += 25; }), TargetDoubtKind::rises_fast));
    CHECK(has(of([](Target& t) { t.milestones[3].reset(); }), TargetDoubtKind::no_first_crack));
    CHECK(has(of([](Target& t) {
                  t.milestones[3] = TargetMilestone{200, 120.0};
              }),
              TargetDoubtKind::first_crack_time));
    CHECK(has(of([](Target& t) { t.milestones[3]->bean_c = 199; }), TargetDoubtKind::off_the_curve));
    CHECK(has(of([](Target& t) { t.points.back().bean_c = 189; }), TargetDoubtKind::drop_bean));
    CHECK_FALSE(has(of([](Target& t) { t.points.back().bean_c = 190; }), TargetDoubtKind::drop_bean));
    const auto after_crack = planned(Control::burner, 40, TriggerKind::after_first_crack_s, 61);
    CHECK(has(of([&](Target& t) { t.moves = {after_crack}; }), TargetDoubtKind::move_after_end));
    CHECK(has(of([&](Target& t) { t.moves = {after_crack}, t.milestones[3].reset(); }),
              TargetDoubtKind::move_needs_crack));
    Target target = usual_target();
    target.points.back().bean_c = 250;
    const auto doubts = doubts_about(target);
    const auto drop = std::find_if(doubts.begin(), doubts.end(),
                                   [](const TargetDoubt& d) { return d.kind == TargetDoubtKind::drop_bean; });
    REQUIRE(drop != doubts.end());
    CHECK(place(*drop) == "/points/" + std::to_string(target.points.size() - 1));
    CHECK(words(*drop, target) == "ends at 250.0 °C; 190 to 245 °C is usual");
}

TEST_CASE("a sample roast gives times and development, never a temperature or a level") {
    Target base = usual_target();
    base.moves = {planned(Control::burner, 60, TriggerKind::at_s, 330),
                  planned(Control::burner, 40, TriggerKind::after_first_crack_s, 30)};
    SourceRoast sample;
    sample.name = "sample.csv";
    sample.milestones_s[static_cast<std::size_t>(Milestone::first_crack)] = 480;
    sample.milestones_s[static_cast<std::size_t>(Milestone::drop)] = 570;
    for (int t = 0; t <= 570; ++t) sample.bean.push_back({t * 1.0, 300 - t * 0.1});  // nothing of it may show
    const Target seeded = seeded_target(base, sample);
    CHECK(seeded.status == TargetStatus::trial);
    CHECK(seeded.approved_by.empty());
    CHECK(seeded.seeded_from == "sample.csv");
    CHECK(seeded.milestones[3]->at_s == 480);
    CHECK(*seeded.milestones[3]->bean_c == 189.6);
    CHECK(seeded.points.back().t_s == 570);
    CHECK(std::fabs(seeded.points.back().bean_c - 200) < 0.5);
    CHECK(seeded.points[3].t_s == 60);  // the turning point is the machine's
    CHECK(seeded.points[3].bean_c == 80);
    CHECK(seeded.moves[0].when.value == 270);  // halfway from the turning point to the crack, as before
    CHECK(seeded.moves[0].to == 60);
    CHECK(seeded.moves[1].when.value == 45);
    CHECK(seeded.drop->kind == TriggerKind::after_first_crack_s);
    CHECK(seeded.drop->value == 90);
}
