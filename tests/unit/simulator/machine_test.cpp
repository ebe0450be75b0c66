#include <doctest/doctest.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "simulator/machine/plant.hpp"

using namespace drumwatch::simulator;

namespace {

std::string file_text(const std::filesystem::path& path) {
    std::ostringstream text;
    text << std::ifstream(path).rdbuf();
    return text.str();
}

/// What load_machine says to the drum's file with `from` replaced by `to`.
std::string complaint(const std::string& from, const std::string& to) {
    std::string text = file_text(machines_folder() / "drum.json");
    const auto where = text.find(from);
    REQUIRE(where != std::string::npos);
    text.replace(where, from.size(), to);
    char folder[] = "/tmp/drumwatch-machine-XXXXXX";
    REQUIRE(mkdtemp(folder) != nullptr);
    const auto path = std::filesystem::path(folder) / "machine.json";
    std::ofstream(path) << text;
    std::string said;
    try {
        load_machine(path.string());
    } catch (const SetupError& error) {
        said = error.what();
    }
    std::filesystem::remove_all(folder);
    return said;
}

bool says(const std::string& complaint_text, const std::string& words) {
    return complaint_text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("The three machines can be read") {
    CHECK(load_machine("sample-drum").charge_kg == doctest::Approx(1.2));
    CHECK(load_machine("drum").charge_kg == doctest::Approx(12.0));
    CHECK(load_machine("hot-air").charge_kg == doctest::Approx(30.0));
    CHECK(load_machine("hot-air").recirculated_share > 0.5);
}

TEST_CASE("A machine that is not there is named with those that are") {
    CHECK_THROWS_WITH_AS(load_machine("kettle"), doctest::Contains("hot-air"), SetupError);
}

TEST_CASE("Mistakes in a machine file are refused with their place") {
    CHECK(complaint("\"tau_s\": 30", "\"tau_s\": 30").empty());
    CHECK(says(complaint("\"tau_s\": 30", "\"tua_s\": 30"), "/probe: the key \"tau_s\" is missing"));
    CHECK(says(complaint("\"tau_s\": 30", "\"tau_s\": 30, \"tua_s\": 1"), "unknown key \"tua_s\""));
    CHECK(says(complaint("\"tau_s\": 30", "\"tau_s\": \"30\""), "/probe/tau_s: a number"));
    CHECK(says(complaint("\"tau_s\": 30", "\"tau_s\": -1"), "between"));
    CHECK(says(complaint("\"control\": \"burner\"", "\"control\": \"bruner\""), "/schedule/0/control"));
    CHECK(says(complaint("\"at_s\": 70", "\"at\": 70"), "/schedule/0: needs one of"));
    CHECK(says(complaint("{", "["), "parse error"));
}

TEST_CASE("The holding burner level holds the empty drum") {
    const Machine machine = load_machine("drum");
    Plant plant(machine);
    plant.set_airflow(machine.preheat_airflow_pct);
    plant.set_burner(plant.holding_burner_pct(195.0));
    for (int i = 0; i < 4 * 3600 * 2; ++i) plant.step(0.5);
    CHECK(plant.probes().bean_c == doctest::Approx(195.0).epsilon(0.001));
}

TEST_CASE("Recirculated gas satisfies both of its equations") {
    // Tmix = r*Toutlet + (1-r)*Tambient and G*c*(Tinlet - Tmix) = power, in the settled empty machine.
    const Machine machine = load_machine("hot-air");
    Plant plant(machine);
    plant.set_airflow(machine.gas_airflow_pct);
    plant.set_burner(30.0);
    for (int i = 0; i < 4 * 3600; ++i) plant.step(1.0);
    const PlantProbes probes = plant.probes();
    const double mixed_c = machine.recirculated_share * probes.exhaust_c +
                           (1.0 - machine.recirculated_share) * machine.ambient_c;
    const double power_kw_per_kg = machine.gas_kg_s_per_kg * 1.08 * (probes.inlet_c - mixed_c);
    CHECK(power_kw_per_kg == doctest::Approx(0.30 * machine.gas_kw_per_kg).epsilon(0.001));
}
