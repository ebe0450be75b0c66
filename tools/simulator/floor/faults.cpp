#include "simulator/floor/faults.hpp"

#include <array>
#include <charconv>
#include <utility>

#include "simulator/machine/machine.hpp"

namespace drumwatch::simulator {
namespace {

constexpr std::array<std::pair<FaultKind, const char*>, 12> kNames{{
    {FaultKind::open_bean, "open-bean"},
    {FaultKind::frozen_bean, "frozen-bean"},
    {FaultKind::spike_bean, "spike-bean"},
    {FaultKind::dead_bus, "dead-bus"},
    {FaultKind::drop_connections, "drop-connections"},
    {FaultKind::slow_reply, "slow-reply"},
    {FaultKind::exception, "exception"},
    {FaultKind::short_reply, "short-reply"},
    {FaultKind::wrong_unit, "wrong-unit"},
    {FaultKind::swapped_words, "swapped-words"},
    {FaultKind::chaff_fire, "chaff-fire"},
    {FaultKind::runaway, "runaway"},
}};
constexpr double kSpike_s = 0.5;

std::optional<double> seconds(const std::string& text) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || !(value >= 0.0 && value <= 1e6))
        return {};
    return value;
}

}  // namespace

const char* fault_name(FaultKind kind) {
    for (const auto& [known, name] : kNames) {
        if (known == kind) return name;
    }
    return "?";
}

std::string fault_names() {
    std::string all;
    for (const auto& entry : kNames) all += (all.empty() ? "" : ", ") + std::string(entry.second);
    return all;
}

Fault parse_fault(const std::string& text) {
    const std::string wanted = "fault \"" + text +
                               "\": must look like open-bean@300 or open-bean@300+60 (seconds "
                               "since the first charge, and how long); the kinds are " +
                               fault_names();
    const auto at = text.find('@');
    if (at == std::string::npos) throw SetupError(wanted);
    Fault fault;
    bool known = false;
    for (const auto& [kind, name] : kNames) {
        if (text.substr(0, at) == name) {
            fault.kind = kind;
            known = true;
        }
    }
    const auto plus = text.find('+', at);
    const auto begins = seconds(text.substr(at + 1, plus == std::string::npos ? plus : plus - at - 1));
    if (!known || !begins) throw SetupError(wanted);
    fault.at_s = *begins;
    if (plus != std::string::npos) {
        fault.for_s = seconds(text.substr(plus + 1));
        if (!fault.for_s) throw SetupError(wanted);
    }
    return fault;
}

bool stops_answers(FaultKind kind) {
    return kind == FaultKind::dead_bus || kind == FaultKind::drop_connections ||
           kind == FaultKind::exception || kind == FaultKind::short_reply || kind == FaultKind::wrong_unit;
}

std::optional<double> FaultPlan::active_for_s(FaultKind kind,
                                              std::optional<double> since_first_charge_s) const {
    if (!since_first_charge_s) return std::nullopt;
    for (const Fault& fault : faults_) {
        const double since_s = *since_first_charge_s - fault.at_s;
        if (fault.kind != kind || since_s < 0.0) continue;
        const double length_s = fault.for_s.value_or(kind == FaultKind::spike_bean ? kSpike_s : 1e9);
        if (since_s < length_s) return since_s;
    }
    return std::nullopt;
}

bool FaultPlan::active(FaultKind kind, std::optional<double> since_first_charge_s) const {
    return active_for_s(kind, since_first_charge_s).has_value();
}

}  // namespace drumwatch::simulator
