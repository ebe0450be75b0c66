#include "simulator/floor/faults.hpp"

#include <array>
#include <charconv>
#include <utility>

#include "simulator/machine/machine.hpp"

namespace drumwatch::simulator {
namespace {

constexpr std::array<std::pair<FaultKind, const char*>, 18> kNames{{
    {FaultKind::open, "open"},
    {FaultKind::short_circuit, "short"},
    {FaultKind::reversed, "reversed"},
    {FaultKind::out_of_span, "out-of-span"},
    {FaultKind::frozen, "frozen"},
    {FaultKind::spike, "spike"},
    {FaultKind::noisy, "noisy"},
    {FaultKind::drifted, "drifted"},
    {FaultKind::dead_bus, "dead-bus"},
    {FaultKind::drop_connections, "drop-connections"},
    {FaultKind::slow_reply, "slow-reply"},
    {FaultKind::exception, "exception"},
    {FaultKind::short_reply, "short-reply"},
    {FaultKind::wrong_unit, "wrong-unit"},
    {FaultKind::swapped_words, "swapped-words"},
    {FaultKind::mute_serial, "mute-serial"},
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

std::optional<Fault> fault_named(const std::string& name) {
    for (const auto& entry : kNames) {
        const std::size_t probes = is_of_probe(entry.first) ? kProbeCount : 1;
        for (std::size_t i = 0; i < probes; ++i) {
            Fault fault;
            fault.kind = entry.first;
            fault.probe = static_cast<Probe>(i);
            if (fault_name(fault) == name) return fault;
        }
    }
    return std::nullopt;
}

}  // namespace

bool is_of_probe(FaultKind kind) { return kind <= FaultKind::drifted; }

std::string fault_name(const Fault& fault) {
    for (const auto& [known, name] : kNames) {
        if (known != fault.kind) continue;
        const auto probe = static_cast<std::size_t>(fault.probe);
        return is_of_probe(known) ? std::string(name) + "-" + kProbeNames[probe] : name;
    }
    return "?";
}

std::string fault_names() {
    std::string of_probe;
    std::string others;
    for (const auto& [kind, name] : kNames) {
        if (is_of_probe(kind)) {
            of_probe += std::string(name) + "-PROBE, ";
        } else {
            others += (others.empty() ? "" : ", ") + std::string(name);
        }
    }
    std::string probes;
    for (const char* const probe : kProbeNames) probes += (probes.empty() ? "" : ", ") + std::string(probe);
    return of_probe + others + "; PROBE is one of " + probes;
}

Fault parse_fault(const std::string& text) {
    const std::string wanted = "fault \"" + text +
                               "\": must look like open-bean@300 or open-bean@300+60 (seconds "
                               "since the first charge, and how long); the kinds are " +
                               fault_names();
    const auto at = text.find('@');
    if (at == std::string::npos) throw SetupError(wanted);
    std::optional<Fault> named = fault_named(text.substr(0, at));
    const auto plus = text.find('+', at);
    const auto begins = seconds(text.substr(at + 1, plus == std::string::npos ? plus : plus - at - 1));
    if (!named || !begins) throw SetupError(wanted);
    Fault fault = *named;
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

std::optional<double> FaultPlan::active_for_s(FaultKind kind, std::optional<double> since_first_charge_s,
                                              Probe probe) const {
    if (!since_first_charge_s) return std::nullopt;
    for (const Fault& fault : faults_) {
        const double since_s = *since_first_charge_s - fault.at_s;
        if (fault.kind != kind || (is_of_probe(kind) && fault.probe != probe) || since_s < 0.0) continue;
        const double length_s = fault.for_s.value_or(kind == FaultKind::spike ? kSpike_s : 1e9);
        if (since_s < length_s) return since_s;
    }
    return std::nullopt;
}

bool FaultPlan::active(FaultKind kind, std::optional<double> since_first_charge_s, Probe probe) const {
    return active_for_s(kind, since_first_charge_s, probe).has_value();
}

}  // namespace drumwatch::simulator
