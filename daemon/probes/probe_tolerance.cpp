#include "probes/probe_tolerance.hpp"

#include "drivers/sensors/tolerance_class.hpp"

namespace drumwatch {

std::vector<ProbeTolerance> tolerances_of(const SensorSource& sensor, double celsius) {
    std::vector<ProbeTolerance> list;
    if (const auto* wire = std::get_if<ThermocoupleSource>(&sensor)) {
        if (const auto first = thermocouple_tolerance(wire->type, 1, celsius)) list.push_back({"1", *first});
        if (const auto second = thermocouple_tolerance(wire->type, 2, celsius))
            list.push_back({"2", *second});
    } else if (std::holds_alternative<RtdSource>(sensor)) {
        if (const auto b = rtd_tolerance(RtdClass::b, RtdBuild::wire_wound, celsius))
            list.push_back({"B", *b});
    }
    return list;
}

}  // namespace drumwatch
