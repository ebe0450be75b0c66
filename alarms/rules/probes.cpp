// Faults of probes and buses. A silent bus explains its channels: then its alarm speaks, not the probes'.
#include "alarms/rules/judging.hpp"

namespace drumwatch {

namespace {

void bean_probe(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    if (now.roasting) judged.priority = Priority::high;
    judged.value_milli = static_cast<Milli>(now.bean.quality);
    judged.members = 1;
    judged.fresh = now.bean.fresh;
    if (!rule.on || !now.bean.configured || now.bean.quality == Quality::never_read) return;
    if (now.bean.quality == Quality::bus_silent) return;
    judged.condition = has_value(now.bean.quality) ? Condition::clear : Condition::active;
}

void other_probes(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    judged.members = now.faulty_channels;
    if (rule.on) judged.condition = now.faulty_channels != 0 ? Condition::active : Condition::clear;
}

void bus(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    if (now.roasting && (now.silent_buses & now.bean_buses) != 0) judged.priority = Priority::high;
    judged.members = now.silent_channels;
    if (rule.on) judged.condition = now.silent_buses != 0 ? Condition::active : Condition::clear;
}

}  // namespace

void judge_probes(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    bean_probe(judged[AlarmRule::bean_probe_fault], settings[AlarmRule::bean_probe_fault], now);
    other_probes(judged[AlarmRule::probe_fault], settings[AlarmRule::probe_fault], now);
    bus(judged[AlarmRule::bus_silent], settings[AlarmRule::bus_silent], now);
}

}  // namespace drumwatch
