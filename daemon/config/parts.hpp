// The reader's parts. Each takes the file's root object, notes mistakes there, and fills its piece of the
// Config; later parts lean on earlier ones (channels name buses), so the order of read_station matters.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "config/config.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

void read_simulated(JsonObject& root, Config& config);
void read_buses(JsonObject& root, Config& config);
void read_channels(JsonObject& root, Config& config);
/// A cold junction that is a channel, which may stand further down in the file.
struct ColdJunctionName {
    std::uint8_t channel = 0;  ///< of the thermocouple
    std::string name;
    std::string pointer;
    TextPlace place;
};
/// What stands at the end of the wire of one channel; `unit` as the file has it, nothing where it is wrong.
void read_sensor(JsonObject& channel, ChannelSource& source, std::optional<std::string_view> unit,
                 std::vector<ColdJunctionName>& cold_junctions);
/// After all channels.
void find_cold_junctions(JsonObject& root, const std::vector<ColdJunctionName>& names, Config& config);
/// The keys of a serial_text bus that say how its lines are cut.
void read_text_keys(JsonObject& object, BusConfig& bus);
/// A channel's `text`; nothing when it is absent.
std::optional<TextSource> read_text_source(JsonObject& channel);
/// After channels and buttons: what must agree among them and their buses; gives each source its span.
void check_buses(JsonObject& root, Config& config);
void read_sounders(JsonObject& root, Config& config);
/// After the sounders: a line or coil has one use.
void read_heartbeat(JsonObject& root, Config& config);
void read_buttons(JsonObject& root, Config& config);
void read_reminders(JsonObject& root, Config& config);
void read_probe_rules(JsonObject& root, Config& config);
void read_limiter(JsonObject& root, Config& config);
void read_alarms(JsonObject& root, Config& config);
void read_record(JsonObject& root, Config& config);
void read_web(JsonObject& root, Config& config);
/// Reads the target files too where `look_inside`.
void read_targets(JsonObject& root, Config& config, bool look_inside);

/// The index of the bus that `key` names; complains about an unknown one, with the likely spelling.
std::optional<std::size_t> bus_named(JsonObject& object, std::string_view key, const Config& config);
/// Puts a coil on its bus's allow-list; complains where it can't be written or has a use already.
std::optional<CoilConfig> claim_coil(JsonObject& object, Config& config);
/// `chip`, `line` and `active_low`, all checked but for what else uses the line.
std::optional<GpioPlace> read_gpio_place(JsonObject& object);
/// What has that line already, as a sentence calls it; empty: nothing.
std::string user_of(const GpioPlace& place, const Config& config);
/// The name that a person gave, or else the one that says what it is.
std::string read_name_or(JsonObject& object, std::string otherwise);
/// 1 to 247 or 255.
void read_unit_id(JsonObject& object, std::uint8_t& unit_id);
/// Lower-case letters, digits and underscores, a letter first, at most 32.
bool is_plain_name(std::string_view name);
/// A relative name stands beside the configuration file.
std::string beside(const Config& config, const std::string& name);

/// Which channels stand in one place, once all are read.
void read_twins(JsonObject& root, Config& config);

}  // namespace drumwatch
