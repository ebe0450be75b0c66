#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

#include "simulator/machine/machine.hpp"

namespace drumwatch::simulator {
namespace {

using Json = nlohmann::json;

/// One object of the file: every key is asked for once, and what nobody asked for is an error (a misspelt key
/// would otherwise silently leave a default in force).
class Section {
  public:
    Section(const Json& object, std::string where) : object_(object), where_(std::move(where)) {
        if (!object_.is_object()) throw SetupError(where_ + ": an object { } is expected here");
    }
    double number(const std::string& key, double low, double high) {
        const Json& value = find(key);
        if (!value.is_number()) throw SetupError(where_ + "/" + key + ": a number is expected");
        const double number = value.get<double>();
        if (!(number >= low && number <= high)) {
            throw SetupError(where_ + "/" + key + ": must lie between " + std::to_string(low) + " and " +
                             std::to_string(high));
        }
        return number;
    }
    std::string text(const std::string& key) {
        const Json& value = find(key);
        if (!value.is_string()) throw SetupError(where_ + "/" + key + ": a text is expected");
        return value.get<std::string>();
    }
    const Json& find(const std::string& key) {
        asked_.insert(key);
        const auto found = object_.find(key);
        if (found == object_.end()) throw SetupError(where_ + ": the key \"" + key + "\" is missing");
        return *found;
    }
    Section section(const std::string& key) { return {find(key), where_ + "/" + key}; }
    bool has(const std::string& key) const { return object_.contains(key); }
    const std::string& where() const { return where_; }
    void finish() const {
        for (const auto& item : object_.items()) {
            if (!asked_.contains(item.key()))
                throw SetupError(where_ + ": unknown key \"" + item.key() + "\"");
        }
    }

  private:
    const Json& object_;
    std::string where_;
    std::set<std::string> asked_;
};

Trigger read_trigger(Section& section) {
    for (const auto kind : {Trigger::Kind::at_s, Trigger::Kind::bean_c, Trigger::Kind::after_first_crack_s}) {
        const std::string key = trigger_name(kind);
        if (section.has(key)) return {kind, section.number(key, 0.0, 3600.0)};
    }
    throw SetupError(section.where() + ": needs one of at_s, bean_c, after_first_crack_s");
}

void read_schedule(const Json& list, const std::string& where, Machine& machine) {
    if (!list.is_array()) throw SetupError(where + ": a list [ ] is expected");
    for (std::size_t i = 0; i < list.size(); ++i) {
        Section entry(list[i], where + "/" + std::to_string(i));
        PlannedMove move;
        const auto control = control_named(entry.text("control"));
        if (!control) throw SetupError(entry.where() + "/control: must be \"burner\" or \"airflow\"");
        move.control = *control;
        move.to_pct = entry.number("to_pct", 0.0, 100.0);
        move.when = read_trigger(entry);
        entry.finish();
        machine.schedule.push_back(move);
    }
}

void read_charge(Section charge, Machine& m) {
    m.charge_kg = charge.number("mass_kg", 0.05, 1000.0);
    m.charge_bean_c = charge.number("bean_c", 0.0, 50.0);
    m.charge_moisture = charge.number("moisture_kg_per_kg_dry", 0.05, 0.2);
    m.charge_probe_c = charge.number("probe_c", 100.0, 240.0);
    m.charge_burner_pct = charge.number("burner_pct", 0.0, 100.0);
    m.charge_airflow_pct = charge.number("airflow_pct", 10.0, 100.0);
    m.gap_s = charge.number("gap_after_drop_s", 30.0, 3600.0);
    charge.finish();
}

void read_body(Section body, Machine& m) {
    m.ambient_c = body.number("ambient_c", 0.0, 45.0);
    m.start_metal_c = body.number("start_metal_c", 0.0, 230.0);
    m.drum_rpm = body.number("drum_rpm", 0.0, 200.0);
    m.gas_kw_per_kg = body.number("gas_kw_per_kg", 0.2, 10.0);
    m.flame_share = body.number("flame_share", 0.0, 0.5);
    m.burner_lag_s = body.number("burner_lag_s", 1.0, 60.0);
    m.recirculated_share = body.number("recirculated_share", 0.0, 0.95);
    m.gas_kg_s_per_kg = body.number("gas_kg_s_per_kg", 0.001, 0.1);
    m.gas_airflow_pct = body.number("gas_airflow_pct", 10.0, 100.0);
    m.preheat_airflow_pct = body.number("preheat_airflow_pct", 10.0, 100.0);
    m.gas_to_beans_kw_k_per_kg = body.number("gas_to_beans_kw_k_per_kg", 0.0005, 0.1);
    m.gas_to_metal_kw_k_per_kg = body.number("gas_to_metal_kw_k_per_kg", 0.0001, 0.1);
    m.metal_to_beans_kw_k_per_kg = body.number("metal_to_beans_kw_k_per_kg", 0.0, 0.1);
    m.metal_kj_k_per_kg = body.number("metal_kj_k_per_kg", 0.05, 20.0);
    m.loss_kw_k_per_kg = body.number("loss_kw_k_per_kg", 0.0, 0.05);
    m.door_kw_k_per_kg = body.number("door_kw_k_per_kg", 0.0, 0.1);
    m.door_open_s = body.number("door_open_s", 5.0, 60.0);
    m.bean_diameter_mm = body.number("bean_diameter_mm", 4.0, 10.0);
    body.finish();
}

void read_probe(Section probe, Machine& m) {
    m.probe_tau_s = probe.number("tau_s", 1.0, 120.0);
    m.probe_gas_share = probe.number("outlet_gas_share", 0.0, 0.5);
    m.empty_outlet_share = probe.number("empty_outlet_gas_share", 0.0, 1.0);
    m.door_air_share = probe.number("open_door_air_share", 0.0, 1.0);
    probe.finish();
}

void read_first_crack(Section crack, Machine& m) {
    m.first_crack_mean_c = crack.number("mean_bean_c", 180.0, 230.0);
    m.first_crack_sd_c = crack.number("sd_c", 0.5, 10.0);
    m.first_crack_audible_share = crack.number("audible_share", 0.001, 0.5);
    crack.finish();
}

Machine read_machine(const Json& json, const std::string& where) {
    Machine m;
    Section top(json, where);
    m.name = top.text("name");
    m.title = top.text("title");
    m.station = top.text("station");
    m.coffee = top.text("coffee");
    if (top.has("about")) top.find("about");
    read_charge(top.section("charge"), m);
    read_body(top.section("body"), m);
    read_probe(top.section("probe"), m);
    read_first_crack(top.section("first_crack"), m);
    read_schedule(top.find("schedule"), where + "/schedule", m);
    Section drop = top.section("drop");
    m.drop = read_trigger(drop);
    drop.finish();
    top.finish();
    return m;
}

std::filesystem::path machine_path(const std::string& name_or_file) {
    const auto named = machines_folder() / (name_or_file + ".json");
    const bool plain_name = name_or_file.find_first_of("/.") == std::string::npos;
    return plain_name && std::filesystem::exists(named) ? named : std::filesystem::path(name_or_file);
}

}  // namespace

const char* control_name(Control control) { return control == Control::burner ? "burner" : "airflow"; }

std::optional<Control> control_named(const std::string& name) {
    if (name == "burner") return Control::burner;
    if (name == "airflow") return Control::airflow;
    return std::nullopt;
}

const char* trigger_name(Trigger::Kind kind) {
    switch (kind) {
        case Trigger::Kind::at_s:
            return "at_s";
        case Trigger::Kind::bean_c:
            return "bean_c";
        case Trigger::Kind::after_first_crack_s:
            return "after_first_crack_s";
    }
    return "at_s";
}

/// The build's own folder, or, for an installed program, ../share/drumwatch/machines beside it.
std::filesystem::path machines_folder() {
    const std::filesystem::path built = DRUMWATCH_MACHINES;
    if (std::filesystem::exists(built)) return built;
    std::error_code error;
    const auto self = std::filesystem::read_symlink("/proc/self/exe", error);
    return self.parent_path().parent_path() / "share" / "drumwatch" / "machines";
}

Machine load_machine(const std::string& name_or_file) {
    const auto path = machine_path(name_or_file);
    std::ifstream in(path);
    if (!in) {
        throw SetupError("machine \"" + name_or_file + "\": no such machine or file; the machines in " +
                         machines_folder().string() + " are sample-drum, drum and hot-air");
    }
    try {
        return read_machine(Json::parse(in, nullptr, true, true), path.string() + ":");
    } catch (const Json::exception& error) {
        throw SetupError(path.string() + ": " + error.what());
    }
}

}  // namespace drumwatch::simulator
