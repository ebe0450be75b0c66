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

TEST_CASE("A fault of a probe names its probe, and every name is read back as it is printed") {
    const Fault fault = parse_fault("out-of-span-oxidiser@30+20");
    CHECK(fault.kind == FaultKind::out_of_span);
    CHECK(fault.probe == Probe::oxidiser);
    CHECK(fault_name(fault) == "out-of-span-oxidiser");
    CHECK(fault_name(parse_fault("short-drum@1")) == "short-drum");
    CHECK(fault_name(parse_fault("short-reply@1")) == "short-reply");
    CHECK(fault_name(parse_fault("mute-serial@1")) == "mute-serial");
    CHECK(fault_names().find("reversed-PROBE, out-of-span-PROBE") != std::string::npos);
    CHECK(fault_names().find("; PROBE is one of bean, exhaust") != std::string::npos);
    for (const char* wrong : {"open-reply@1", "open-@1", "dead-bus-bean@1"}) {
        CAPTURE(wrong);
        CHECK_THROWS_AS(parse_fault(wrong), SetupError);
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

namespace {

double reading(Lab& lab, Probe probe) { return lab.floor().readings()[static_cast<std::size_t>(probe)]; }

}  // namespace

TEST_CASE("A shorted probe reads the room, a reversed one as far below it as it should be above") {
    Lab lab = lab_with({"short-drum@50+10", "reversed-inlet@50+10", "out-of-span-oxidiser@50+10"});
    lab.run_to_charge_plus(49.0);
    const double drum_c = reading(lab, Probe::drum);
    const double inlet_c = reading(lab, Probe::inlet);
    lab.run_to_charge_plus(51.0);
    CHECK(drum_c > 150.0);
    CHECK(reading(lab, Probe::drum) == doctest::Approx(lab.floor().machine().ambient_c));
    CHECK(reading(lab, Probe::inlet) == doctest::Approx(50.0 - inlet_c).epsilon(0.05));
    CHECK(reading(lab, Probe::oxidiser) == 1300.0);
    CHECK(std::abs(lab.floor().bean_reading_c() - lab.floor().true_bean_c()) < 1.0);
    lab.run_to_charge_plus(61.0);
    CHECK(reading(lab, Probe::drum) == doctest::Approx(drum_c).epsilon(0.05));
    CHECK(reading(lab, Probe::inlet) == doctest::Approx(inlet_c).epsilon(0.05));
    CHECK(reading(lab, Probe::oxidiser) < 800.0);
}

TEST_CASE("Sparks are single readings, up and down, fifteen in a minute") {
    Lab lab = lab_with({"noisy-tray@10+60"});
    int up = 0;
    int down = 0;
    for (double s = 10.125; s < 90.0; s += 0.25) {
        lab.run_to_charge_plus(s);
        const double off_c = reading(lab, Probe::tray) - lab.floor().machine().ambient_c;
        up += off_c > 6.0 ? 1 : 0;
        down += off_c < -6.0 ? 1 : 0;
    }
    CHECK(up == 8);
    CHECK(down == 7);
}

TEST_CASE("A twin reads what the bean probe reads, until one of them drifts") {
    Lab lab = lab_with({"drifted-twin@150+60"});
    const auto apart_c = [&] { return reading(lab, Probe::twin) - lab.floor().bean_reading_c(); };
    lab.run_to_charge_plus(149.0);
    CHECK(std::abs(apart_c()) < 1.0);
    lab.run_to_charge_plus(156.0);
    CHECK(apart_c() == doctest::Approx(6.0).epsilon(0.2));
    lab.run_to_charge_plus(200.0);
    CHECK(apart_c() == doctest::Approx(12.0).epsilon(0.1));
    lab.run_to_charge_plus(211.0);
    CHECK(std::abs(apart_c()) < 1.0);
}

TEST_CASE("Each probe freezes by itself") {
    Lab lab = lab_with({"frozen-exhaust@50+100", "frozen-bean@100+20"});
    lab.run_to_charge_plus(51.0);
    const double exhaust_c = reading(lab, Probe::exhaust);
    lab.run_to_charge_plus(101.0);
    const double bean_c = lab.floor().bean_reading_c();
    lab.run_to_charge_plus(119.0);
    CHECK(reading(lab, Probe::exhaust) == exhaust_c);
    CHECK(lab.floor().bean_reading_c() == bean_c);
    lab.run_to_charge_plus(140.0);
    CHECK(reading(lab, Probe::exhaust) == exhaust_c);
    CHECK(lab.floor().bean_reading_c() > bean_c + 8.0);
    lab.run_to_charge_plus(151.0);
    CHECK(reading(lab, Probe::exhaust) > exhaust_c + 20.0);
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
