// How the site keeps its probes.
#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {

void read_probe_rules(JsonObject& root, Config& config) {
    auto object = root.object("probes", kProbesKeys);
    if (!object) return;
    std::int64_t days = 0;
    if (object->read("check_every_days", days, {1, 3650, "days"})) config.probes.check_every_days = days;
    double value = 0;
    if (object->read("altitude_m", value, {-500, 5000, "m"})) config.probes.altitude_m = value;
    if (object->read("largest_correction_c", value, {0.1, 20, "°C"}))
        config.probes.largest_correction_milli = to_milli(value).value_or(0);
}

}  // namespace drumwatch
