#include <doctest/doctest.h>
#include <stdlib.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "simulator/target/target.hpp"

using namespace drumwatch::simulator;

namespace {

/// load_target on this text, through a real file.
Target read_back(const std::string& text) {
    char path[] = "/tmp/drumwatch-target-XXXXXX";
    const int descriptor = mkstemp(path);
    REQUIRE(descriptor >= 0);
    std::ofstream(path) << text;
    struct Remove {
        std::filesystem::path path;
        ~Remove() { std::filesystem::remove(path); }
    } remove{path};
    close(descriptor);
    return load_target(path);
}

}  // namespace

TEST_CASE("A machine's own target comes back from its file") {
    const Target target = own_target(load_machine("drum"));
    const Target again = read_back(target_text(target, "Alder"));
    REQUIRE(again.points.size() == target.points.size());
    CHECK(again.end_s() == doctest::Approx(target.end_s()).epsilon(0.0001));
    for (double t_s = 0.0; t_s < target.end_s(); t_s += 7.0) {
        CHECK(again.bean_c_at(t_s) == doctest::Approx(target.bean_c_at(t_s)).epsilon(0.001));
    }
    CHECK(again.milestones.at("first_crack").at_s ==
          doctest::Approx(target.milestones.at("first_crack").at_s).epsilon(0.0001));
    REQUIRE(again.moves.size() == target.moves.size());
    CHECK(again.moves[1].when.kind == target.moves[1].when.kind);
    CHECK(again.drop.value == 212.0);
}

TEST_CASE("A target is approved only under a name") {
    const Target target = own_target(load_machine("drum"));
    CHECK(target_text(target, "").find("\"status\": \"trial\"") != std::string::npos);
    CHECK(target_text(target, "").find("approved") == std::string::npos);
    const std::string approved = target_text(target, "Alder");
    CHECK(approved.find("\"status\": \"approved\"") != std::string::npos);
    CHECK(approved.find("\"approved_by\": \"Alder\"") != std::string::npos);
}

TEST_CASE("A target answers between its points and keeps to its ends") {
    Target target;
    target.points = {{0.0, 200.0}, {60.0, 80.0}, {120.0, 100.0}, {180.0, 160.0}};
    CHECK(target.bean_c_at(-5.0) == 200.0);
    CHECK(target.bean_c_at(60.0) == 80.0);
    CHECK(target.bean_c_at(90.0) == doctest::Approx(90.0));
    CHECK(target.bean_c_at(500.0) == 160.0);
    CHECK(target.planned_at_s({Trigger::Kind::at_s, 42.0}) == 42.0);
    CHECK(target.planned_at_s({Trigger::Kind::bean_c, 130.0}) == doctest::Approx(150.0));
    target.milestones["first_crack"] = {150.0, 130.0};
    CHECK(target.planned_at_s({Trigger::Kind::after_first_crack_s, 20.0}) == 170.0);
}

TEST_CASE("Target files that cannot be used are refused") {
    CHECK_THROWS_AS(load_target("/nowhere/target.json"), SetupError);
    CHECK_THROWS_AS(read_back("{"), SetupError);
    CHECK_THROWS_AS(read_back("{\"points\": [[0, 1]]}"), SetupError);
    CHECK_THROWS_AS(read_back("{\"points\": [[0, 1], [0, 2]]}"), SetupError);
    CHECK_THROWS_AS(read_back("{\"points\": [[0, \"x\"], [1, 2]]}"), SetupError);
    CHECK_THROWS_AS(
        read_back("{\"points\": [[0, 1], [1, 2]], \"moves\": [{\"control\": \"burner\", \"to\": 5, "
                  "\"when\": {}}]}"),
        SetupError);
}
