// The reader's parts. Each takes the file's root object, notes mistakes there, and fills its piece of the
// Config; later parts lean on earlier ones (channels name buses), so the order of read_station matters.
#pragma once

#include <string>
#include <string_view>

#include "config/config.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

void read_simulated(JsonObject& root, Config& config);
void read_buses(JsonObject& root, Config& config);
void read_channels(JsonObject& root, Config& config);
void read_coils(JsonObject& root, Config& config);
void read_limiter(JsonObject& root, Config& config);
void read_alarms(JsonObject& root, Config& config);
void read_record(JsonObject& root, Config& config);
void read_web(JsonObject& root, Config& config);
/// Reads the target files too where `look_inside`.
void read_targets(JsonObject& root, Config& config, bool look_inside);

/// The index of the bus that `key` names; complains about an unknown one, with the likely spelling.
std::optional<std::size_t> bus_named(JsonObject& object, std::string_view key, const Config& config);
/// Lower-case letters, digits and underscores, a letter first, at most 32.
bool is_plain_name(std::string_view name);
/// A relative name stands beside the configuration file.
std::string beside(const Config& config, const std::string& name);

}  // namespace drumwatch
