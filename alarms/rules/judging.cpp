#include "alarms/rules/judging.hpp"

namespace drumwatch {

Condition against(double value, double limit, double deadband) {
    if (value > limit) return Condition::active;
    return value <= limit - deadband ? Condition::clear : Condition::between;
}

Condition below(double value, double limit, double deadband) { return against(-value, -limit, deadband); }

void suppress(Judgement& judged, SuppressedBy why) {
    judged.condition = Condition::suppressed;
    judged.suppressed_by = why;
}

namespace {

/// A reading that says nothing of the temperature. One that merely jumped or rests is still watched.
bool tells_nothing(Quality quality) {
    return quality == Quality::open_circuit || quality == Quality::out_of_span ||
           quality == Quality::short_circuit || quality == Quality::reversed;
}

}  // namespace

bool readable(Judgement& judged, const RuleSettings& rule, const ProbeInput& probe) {
    if (!rule.on || !probe.configured) return false;
    if (tells_nothing(probe.quality)) suppress(judged, SuppressedBy::probe_fault);
    return has_value(probe.quality);
}

}  // namespace drumwatch
