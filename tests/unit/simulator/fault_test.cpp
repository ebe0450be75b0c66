#include <doctest/doctest.h>

#include <cmath>

#include "lab.hpp"

using namespace drumwatch::simulator;
using drumwatch::test::Lab;

namespace {

Lab lab_with(std::vector<std::string> faults) {
    Lab::Setting setting;
    setting.routine.batches = 1;
    setting.faults = std::move(faults);
    return Lab(setting);
}

}  // namespace

TEST_CASE("A fault is read with its moment and its length") {
    const Fault fault = parse_fault("slow-reply@300.5+60");
    CHECK(fault.kind == FaultKind::slow_reply);
    CHECK(fault.at_s == 300.5);
    CHECK(fault.for_s == 60.0);
    CHECK_FALSE(parse_fault("open-bean@0").for_s.has_value());
}

TEST_CASE("Words that are no fault are refused with what would be right") {
    for (const char* wrong : {"", "open-bean", "open@300", "open-bean@", "open-bean@x", "open-bean@300+",
                              "open-bean@-1", "open-bean@300+6x", "@300"}) {
        CAPTURE(wrong);
        CHECK_THROWS_WITH_AS(parse_fault(wrong), doctest::Contains("open-bean@300+60"), SetupError);
    }
}

TEST_CASE("An open probe has no reading and comes back") {
    Lab lab = lab_with({"open-bean@100+50"});
    lab.run_to_charge_plus(99.0);
    CHECK(std::isfinite(lab.floor().bean_reading_c()));
    lab.run_to_charge_plus(101.0);
    CHECK(std::isnan(lab.floor().bean_reading_c()));
    lab.run_to_charge_plus(149.0);
    CHECK(std::isnan(lab.floor().bean_reading_c()));
    lab.run_to_charge_plus(151.0);
    CHECK(std::isfinite(lab.floor().bean_reading_c()));
    CHECK(lab.count("fault") == 2);
    CHECK(*lab.event("fault").since_charge_s == doctest::Approx(100.0));
}

TEST_CASE("A frozen probe repeats itself while the truth goes on") {
    Lab lab = lab_with({"frozen-bean@200"});
    lab.run_to_charge_plus(201.0);
    const double frozen_c = lab.floor().bean_reading_c();
    lab.run_to_charge_plus(260.0);
    CHECK(lab.floor().bean_reading_c() == frozen_c);
    CHECK(lab.floor().true_bean_c() > frozen_c + 10.0);
}

TEST_CASE("A roast with a dead probe is dropped by eye") {
    Lab lab = lab_with({"open-bean@200"});
    lab.run_to_charge_plus(800.0);
    CHECK(lab.event("drop").bean_c < 218.0);
}

TEST_CASE("A spike lasts half a second") {
    Lab lab = lab_with({"spike-bean@200"});
    lab.run_to_charge_plus(200.2);
    CHECK(lab.floor().bean_reading_c() > lab.floor().true_bean_c() + 75.0);
    lab.run_to_charge_plus(200.6);
    CHECK(lab.floor().bean_reading_c() < lab.floor().true_bean_c() + 1.0);
}

TEST_CASE("A chaff fire shows on bean and exhaust at four degrees a second") {
    Lab lab = lab_with({"chaff-fire@300"});
    lab.run_to_charge_plus(300.0);
    const double exhaust_c = lab.floor().readings()[1];
    lab.run_to_charge_plus(310.0);
    CHECK(lab.floor().bean_reading_c() - lab.floor().true_bean_c() == doctest::Approx(40.0).epsilon(0.02));
    CHECK(lab.floor().readings()[1] - exhaust_c == doctest::Approx(40.0).epsilon(0.1));
}

TEST_CASE("A runaway passes 245 C before anybody drops") {
    Lab lab = lab_with({"runaway@400"});
    double passed_s = 0.0;
    lab.run([&](const Floor& floor) {
        if (floor.roasting() && passed_s == 0.0 && floor.bean_reading_c() > 245.0)
            passed_s = *floor.since_charge_s();
    });
    CHECK(passed_s > 450.0);
    CHECK(passed_s < 900.0);
    CHECK(lab.event("drop").bean_c > 250.0);
}
