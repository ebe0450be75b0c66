#include <doctest/doctest.h>

#include <cmath>

#include "lab.hpp"
#include "simulator/target/target.hpp"

using namespace drumwatch::simulator;
using drumwatch::test::Lab;
using drumwatch::test::number_in;

namespace {

Lab::Setting batches(int count) {
    Lab::Setting setting;
    setting.routine.batches = count;
    return setting;
}

/// All readings of the first half hour, to compare runs.
std::vector<double> readings(const Lab::Setting& setting) {
    Lab lab(setting);
    std::vector<double> out;
    lab.run([&](const Floor& floor) {
        for (const double reading : floor.readings()) out.push_back(reading);
    });
    return out;
}

}  // namespace

TEST_CASE("The same seed gives the same roast to the last reading") {
    Lab::Setting setting = batches(1);
    setting.seed = 77;
    setting.routine.human = true;
    const auto first = readings(setting);
    CHECK(first == readings(setting));
    setting.seed = 78;
    CHECK(first != readings(setting));
}

TEST_CASE("Without noise and scatter the seed makes no difference") {
    Lab::Setting setting = batches(1);
    setting.quiet = true;
    setting.routine.scatter = 0.0;
    setting.seed = 1;
    const auto first = readings(setting);
    setting.seed = 2;
    CHECK(first == readings(setting));
}

TEST_CASE("Noise on the bean probe has a standard deviation of 0.08 C") {
    Lab::Setting setting = batches(1);
    Lab lab(setting);
    double sum = 0.0, squares = 0.0;
    int count = 0;
    lab.run([&](const Floor& floor) {
        const double off = floor.bean_reading_c() - floor.true_bean_c();
        sum += off;
        squares += off * off;
        ++count;
    });
    CHECK(std::fabs(sum / count) < 0.003);
    // Rounding to 0.1 C adds a variance of 0.1^2 / 12.
    CHECK(std::sqrt(squares / count - 0.01 / 12.0) == doctest::Approx(0.08).epsilon(0.03));
}

TEST_CASE("A default roast on the drum is a believable one") {
    // Bounds from common practice for a 9 to 12 minute drum roast, and those that the machine file is meant
    // to meet.
    Lab lab(batches(1));
    lab.run();
    const auto& turn = lab.event("turning_point");
    CHECK(*turn.since_charge_s == doctest::Approx(66.0).epsilon(0.1));
    CHECK(turn.bean_c > 70.0);
    CHECK(turn.bean_c < 90.0);
    CHECK(*lab.event("yellow").since_charge_s == doctest::Approx(268.0).epsilon(0.05));
    CHECK(*lab.event("first_crack").since_charge_s == doctest::Approx(545.0).epsilon(0.04));
    CHECK(lab.event("first_crack").bean_c == doctest::Approx(198.0).epsilon(0.01));
    CHECK(*lab.event("drop").since_charge_s == doctest::Approx(670.0).epsilon(0.04));
    CHECK(lab.event("drop").bean_c == doctest::Approx(212.0).epsilon(0.003));
    CHECK(number_in(lab.event("drop"), "weight_loss_pct") == doctest::Approx(13.0).epsilon(0.1));
    CHECK(lab.event("cooled").sim_ms - lab.event("drop").sim_ms < 240000);
}

TEST_CASE("The operator makes each move when its trigger comes") {
    Lab lab(batches(1));
    const Machine machine = load_machine("drum");
    std::vector<double> burner_at_move;
    lab.run();
    REQUIRE(lab.count("move") == static_cast<int>(machine.schedule.size()));
    for (int n = 1; n <= lab.count("move"); ++n) {
        CAPTURE(n);
        const auto& made = lab.event("move", n);
        const PlannedMove& planned = machine.schedule[static_cast<std::size_t>(n - 1)];
        CHECK(number_in(made, "to_pct") == planned.to_pct);
        if (planned.when.kind == Trigger::Kind::at_s) {
            CHECK(*made.since_charge_s == doctest::Approx(planned.when.value));
        } else if (planned.when.kind == Trigger::Kind::bean_c) {
            CHECK(made.bean_c == doctest::Approx(planned.when.value).epsilon(0.003));
        } else {
            const double after_s = *made.since_charge_s - *lab.event("first_crack").since_charge_s;
            CHECK(after_s >= planned.when.value);
            CHECK(after_s <= planned.when.value + 2.6);  // hearing takes 0.5 to 2.5 s
        }
    }
}

TEST_CASE("The levels set are what the floor shows") {
    Lab lab(batches(1));
    lab.run_to_charge_plus(69.0);
    CHECK(lab.floor().burner_pct() == load_machine("drum").charge_burner_pct);
    lab.run_to_charge_plus(71.0);
    CHECK(lab.floor().burner_pct() == 75.0);
    CHECK(lab.floor().status() == Status::roasting);
}

TEST_CASE("A late move is late by what was asked and a skipped one is missing") {
    Lab::Setting setting = batches(1);
    setting.routine.late_s[2] = 45.0;
    setting.routine.skipped.insert(1);
    Lab lab(setting);
    lab.run();
    CHECK(lab.count("move") == 4);
    for (const auto& event : lab.events()) {
        if (event.name != "move") continue;
        CHECK(number_in(event, "move") != 1.0);
        const double late_s = *event.since_charge_s - number_in(event, "due_s");
        CHECK(late_s == doctest::Approx(number_in(event, "move") == 2.0 ? 45.0 : 0.0));
    }
}

TEST_CASE("The human operator lags a little and never by more than four seconds") {
    Lab::Setting setting = batches(1);
    setting.routine.human = true;
    Lab lab(setting);
    lab.run();
    double most_s = 0.0;
    for (const auto& event : lab.events()) {
        if (event.name != "move") continue;
        const double lag_s = *event.since_charge_s - number_in(event, "due_s");
        CHECK(lag_s <= 4.03);
        most_s = std::fmax(most_s, lag_s);
    }
    CHECK(most_s > 0.5);
}

TEST_CASE("A charge offset is seen in the reading at charge") {
    Lab::Setting setting = batches(1);
    setting.routine.scatter = 0.0;
    setting.routine.charge_offset_c = 8.0;
    Lab lab(setting);
    lab.run();
    CHECK(lab.event("charge").bean_c == doctest::Approx(203.0).epsilon(0.004));
}

TEST_CASE("The next batch is charged while the last one cools") {
    Lab lab(batches(3));
    lab.run();
    CHECK(lab.count("charge") == 3);
    CHECK(lab.count("cooled") == 3);
    for (int n = 1; n < 3; ++n) {
        CHECK(lab.event("charge", n + 1).sim_ms < lab.event("cooled", n).sim_ms);
        CHECK(lab.event("charge", n + 1).sim_ms >= lab.event("drop", n).sim_ms + 150000);
        CHECK(lab.event("cooled", n).batch == n);
    }
    CHECK(lab.floor().status() == Status::idle);
}

TEST_CASE("After the drop the empty probe falls clearly and then climbs back to charge temperature") {
    Lab lab(batches(2));
    double lowest_c = 1000.0, lowest_at_s = 0.0, rise_in_5_s = 0.0;
    lab.run([&](const Floor& floor) {
        if (floor.roasting() || !floor.since_drop_s() || floor.batch() != 1) return;
        if (*floor.since_drop_s() < 5.0) rise_in_5_s = floor.true_bean_c() - 212.0;
        if (floor.true_bean_c() >= lowest_c) return;
        lowest_c = floor.true_bean_c();
        lowest_at_s = *floor.since_drop_s();
    });
    CHECK(rise_in_5_s < -8.0);
    CHECK(lowest_c < 175.0);
    CHECK(lowest_at_s > 15.0);
    CHECK(lowest_at_s < 60.0);
    CHECK(lab.event("charge", 2).bean_c == doctest::Approx(195.0).epsilon(0.012));
}

TEST_CASE("Roasts on schedule stay well inside the corridor of the machine's own target") {
    for (const char* name : {"sample-drum", "drum", "hot-air"}) {
        const Target target = own_target(load_machine(name));
        for (std::uint64_t seed = 1; seed <= 4; ++seed) {
            CAPTURE(name);
            CAPTURE(seed);
            Lab::Setting setting = batches(3);
            setting.machine = name;
            setting.seed = seed;
            double worst_c = 0.0;
            Lab lab(setting);
            lab.run([&](const Floor& floor) {
                if (!floor.roasting() || *floor.since_charge_s() < 150.0 ||
                    *floor.since_charge_s() > target.end_s())
                    return;
                worst_c = std::fmax(
                    worst_c, std::fabs(floor.true_bean_c() - target.bean_c_at(*floor.since_charge_s())));
            });
            CHECK(worst_c < 0.8);
            CHECK(worst_c > 0.02);  // and yet they differ
        }
    }
}

TEST_CASE("Each burner move 45 s late leaves the corridor or comes near its edge") {
    const Target target = own_target(load_machine("drum"));
    Lab::Setting setting = batches(1);
    setting.routine.scatter = 0.0;
    setting.routine.late_s[1] = 45.0;
    Lab lab(setting);
    double worst_c = 0.0;
    lab.run([&](const Floor& floor) {
        if (!floor.roasting() || *floor.since_charge_s() < 150.0) return;
        worst_c =
            std::fmax(worst_c, std::fabs(floor.true_bean_c() - target.bean_c_at(*floor.since_charge_s())));
    });
    CHECK(worst_c > 1.1);
}
