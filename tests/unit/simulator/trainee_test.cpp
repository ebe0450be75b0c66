#include <doctest/doctest.h>

#include <memory>

#include "simulator/floor/simulation.hpp"
#include "simulator/operators/trainee.hpp"
#include "simulator/target/review.hpp"

using namespace drumwatch::simulator;

namespace {

struct Practice {
    explicit Practice(const Machine& machine)
        : target(own_target(machine)),
          simulation(std::make_unique<Floor>(machine, quiet(), nullptr), std::make_unique<Trainee>(machine)),
          trainee(dynamic_cast<Trainee&>(simulation.person())) {}
    static Floor::Options quiet() {
        Floor::Options options;
        options.quiet_probes = true;
        return options;
    }
    Floor& floor() { return simulation.floor(); }
    void pass_s(double s) { simulation.advance_to(floor().sim_ms() + static_cast<std::int64_t>(1000.0 * s)); }
    void until(const Trigger& when) {
        TriggerWatch watch;
        while (!watch.due(when, floor(), floor().first_crack_at_s())) pass_s(0.025);
    }
    /// Key presses as a hand makes them, half a second apart.
    void set(Control control, double to_pct) {
        const double now_pct = control == Control::burner ? trainee.burner_pct() : trainee.airflow_pct();
        for (double pct = now_pct; pct < to_pct; pct += 5.0) press(control, 5.0);
        for (double pct = now_pct; pct > to_pct; pct -= 5.0) press(control, -5.0);
    }
    void press(Control control, double by_pct) {
        trainee.change(floor(), control, by_pct);
        pass_s(0.5);
    }

    Target target;
    Simulation simulation;
    Trainee& trainee;
};

}  // namespace

TEST_CASE("A roast by hand that keeps the plan is found to have kept it") {
    Practice practice(load_machine("drum"));
    practice.pass_s(150.0);
    CHECK(practice.floor().status() == Status::ready_to_charge);
    REQUIRE(practice.trainee.charge(practice.floor()));
    for (const PlannedMove& move : practice.target.moves) {
        practice.until(move.when);
        practice.set(move.control, move.to_pct);
    }
    practice.until(practice.target.drop);
    REQUIRE(practice.trainee.drop(practice.floor()));
    const Review review = review_roast(practice.trainee.roast(), practice.target);
    CHECK(review.extra.empty());
    for (const KeptMove& kept : review.moves) {
        REQUIRE(kept.error_s().has_value());
        CHECK(std::abs(*kept.error_s()) < 2.0);
    }
    CHECK(std::abs(review.worst_c) < 1.1);
    CHECK(std::abs(review.end_c - review.target_end_c) < 0.5);
    CHECK(review_text(review).find("Nothing in particular") != std::string::npos);
}

TEST_CASE("A roast by hand with mistakes is told which and what to practise") {
    Practice practice(load_machine("drum"));
    practice.pass_s(150.0);
    REQUIRE(practice.trainee.charge(practice.floor()));
    practice.until({Trigger::Kind::at_s, 120.0});  // planned at 70
    practice.set(Control::burner, 75.0);
    practice.until({Trigger::Kind::at_s, 300.0});
    practice.press(Control::airflow, 5.0);
    practice.press(Control::airflow, 5.0);
    practice.press(Control::airflow, 5.0);  // 75: planned nowhere
    practice.until({Trigger::Kind::bean_c, 206.0});
    REQUIRE(practice.trainee.drop(practice.floor()));
    const Review review = review_roast(practice.trainee.roast(), practice.target);
    CHECK(*review.moves[0].error_s() == doctest::Approx(50.0).epsilon(0.01));
    CHECK_FALSE(review.moves[1].made.has_value());
    REQUIRE(review.extra.size() == 1);
    CHECK(review.extra[0].from_pct == 60.0);
    CHECK(review.extra[0].to_pct == 75.0);
    CHECK(review.worst_c < -1.1);
    CHECK(review.end_c < review.target_end_c - 4.0);
    const std::string text = review_text(review);
    CHECK(text.find("burner to 75 %, planned at 1:10: made at 2:00, 50 s late.") != std::string::npos);
    CHECK(text.find("airflow from 60 to 75 % at 5:00: not in the plan.") != std::string::npos);
    CHECK(text.find("came late") != std::string::npos);
    CHECK(text.find("was left out") != std::string::npos);
    CHECK(text.find("too cool") != std::string::npos);
}

TEST_CASE("A notch too far at the right moment is a wrong level, though a later move plans that level") {
    Practice practice(load_machine("drum"));
    practice.pass_s(150.0);
    REQUIRE(practice.trainee.charge(practice.floor()));
    std::size_t slipped = 0;  // a burner move whose next planned level is one notch lower
    std::vector<PlannedMove>& moves = practice.target.moves;
    for (std::size_t i = 0; i + 1 < moves.size(); ++i) {
        if (moves[i].control == Control::burner && moves[i + 1].control == Control::burner) slipped = i;
    }
    for (std::size_t i = 0; i < moves.size(); ++i) {
        practice.until(moves[i].when);
        practice.set(moves[i].control, moves[i == slipped ? i + 1 : i].to_pct);
    }
    practice.until(practice.target.drop);
    REQUIRE(practice.trainee.drop(practice.floor()));
    const Review review = review_roast(practice.trainee.roast(), practice.target);
    CHECK(review.moves[slipped].wrong_level());
    CHECK(review.moves[slipped + 1].stood_already);
    CHECK(review.extra.empty());
    const std::string text = review_text(review);
    CHECK(text.find("the wrong level") != std::string::npos);
    CHECK(text.find("left out") == std::string::npos);
}

TEST_CASE("Keys at the wrong moment do nothing") {
    Practice practice(load_machine("drum"));
    practice.pass_s(1.0);
    CHECK_FALSE(practice.trainee.drop(practice.floor()));
    CHECK(practice.trainee.charge(practice.floor()));
    CHECK_FALSE(practice.trainee.charge(practice.floor()));
    for (int i = 0; i < 30; ++i) practice.press(Control::burner, 5.0);
    CHECK(practice.trainee.burner_pct() == 100.0);
    CHECK(practice.floor().burner_pct() == 100.0);
}
