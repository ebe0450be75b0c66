#pragma once

#include <filesystem>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

namespace drumwatch::simulator {

/// A file or an option that cannot be used; the text says where, what, and what would be right. Thrown only
/// while the simulator starts, and caught in main (exit 2).
class SetupError : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

enum class Control { burner, airflow };
const char* control_name(Control control);
/// Empty when the name is neither "burner" nor "airflow".
std::optional<Control> control_named(const std::string& name);

/// When a planned move falls due, or when to drop.
struct Trigger {
    enum class Kind { at_s, bean_c, after_first_crack_s } kind = Kind::at_s;
    double value = 0.0;
};
/// The trigger's name as it stands in files, for example "at_s".
const char* trigger_name(Trigger::Kind kind);

struct PlannedMove {
    Control control = Control::burner;
    double to_pct = 0.0;
    Trigger when;
};

/// One invented roasting machine with its coffee and its schedule, read from a parameter file. Figures marked
/// "per kg" are per kg of green coffee at `charge_kg`.
struct Machine {
    std::string name;
    std::string title;
    std::string coffee;
    std::string station;

    double charge_kg = 12.0;
    double charge_bean_c = 22.0;
    double charge_moisture = 0.125;  ///< kg per kg of dry bean
    double charge_probe_c = 195.0;   ///< what the probe shows in the empty drum when it is time to charge
    double charge_burner_pct = 60.0;
    double charge_airflow_pct = 60.0;

    double ambient_c = 25.0;
    double start_metal_c = 170.0;  ///< the machine was on earlier today
    double preheat_airflow_pct = 50.0;
    double drum_rpm = 52.0;

    double gas_kw_per_kg = 2.4;  ///< at burner 100 %, into the gas
    double flame_share = 0.125;  ///< on top of that, straight onto the shell
    double burner_lag_s = 15.0;
    double recirculated_share = 0.0;
    double gas_kg_s_per_kg = 0.006;  ///< at `gas_airflow_pct`
    double gas_airflow_pct = 60.0;
    double gas_to_beans_kw_k_per_kg = 0.0085;
    double gas_to_metal_kw_k_per_kg = 0.0015;
    double metal_to_beans_kw_k_per_kg = 0.003;
    double metal_kj_k_per_kg = 1.0;
    double loss_kw_k_per_kg = 0.0006;
    double door_kw_k_per_kg = 0.008;  ///< metal to room air while the discharge door stands open
    double door_open_s = 25.0;
    double bean_diameter_mm = 6.0;

    double probe_tau_s = 30.0;
    double probe_gas_share = 0.05;
    double empty_outlet_share = 0.3;
    double door_air_share = 0.45;  ///< how much the probe sees of the room air that an open door lets in

    double first_crack_mean_c = 206.5;  ///< bean temperature at which half the beans have cracked
    double first_crack_sd_c = 3.0;
    double first_crack_audible_share = 0.02;

    double gap_s = 150.0;  ///< from drop to the next charge, at the least
    std::vector<PlannedMove> schedule;
    Trigger drop;
};

/// Reads a parameter file. `name_or_file` is the path of one, or the name of one in the machines folder
/// ("drum"). Throws SetupError.
Machine load_machine(const std::string& name_or_file);

/// The folder with the machines that come with the simulator.
std::filesystem::path machines_folder();

}  // namespace drumwatch::simulator
