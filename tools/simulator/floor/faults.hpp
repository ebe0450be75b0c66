#pragma once

#include <optional>
#include <string>
#include <vector>

#include "simulator/floor/probe.hpp"

namespace drumwatch::simulator {

enum class FaultKind {
    // Of one probe: named KIND-PROBE.
    open,           ///< open circuit
    short_circuit,  ///< the wires touch at the terminals: the room's temperature is read
    reversed,       ///< the wires the wrong way round: as far below the room as it should be above
    out_of_span,    ///< 1300 C: a transmitter's sign for a probe that failed
    frozen,         ///< the reading stands still
    spike,          ///< jumps by 80 C for half a second; with a duration, every 5 s
    noisy,          ///< burner ignition: 7 C up, then 7 C down and so on, a quarter second each 4 s
    drifted,        ///< reads too high, by 1 C more each second up to 12 C
    // Of the whole machine.
    dead_bus,          ///< requests are read and never answered, connections stay
    drop_connections,  ///< all connections closed, new ones refused
    slow_reply,        ///< answers after 2 s of real time
    exception,         ///< every request is answered with exception 4 (device failure)
    short_reply,       ///< half the registers asked for
    wrong_unit,        ///< answers carry another unit's number
    swapped_words,     ///< floating-point numbers with their words exchanged
    mute_serial,       ///< no line comes on the serial text face, which stays open
    chaff_fire,        ///< bean and exhaust temperature climb by 4 C a second
    runaway            ///< burner sticks at 100 %, and nobody drops
};

struct Fault {
    FaultKind kind = FaultKind::open;
    Probe probe = Probe::bean;    ///< matters to the faults of one probe only
    double at_s = 0.0;            ///< since the charge of batch 1
    std::optional<double> for_s;  ///< without it the fault stays (a single spike, for spike)
};

/// Whether it is a fault of one probe.
bool is_of_probe(FaultKind kind);
/// As it is typed: "open-bean", "dead-bus".
std::string fault_name(const Fault& fault);
/// For the help text: all kinds, comma separated; those of a probe without the probe, and then the probes.
std::string fault_names();
/// Reads KIND@WHEN or KIND@WHEN+LENGTH, for example "open-bean@300+60". Throws SetupError.
Fault parse_fault(const std::string& text);
/// True for faults in which no answer carries the time any more: in stepped time, time itself would stop.
bool stops_answers(FaultKind kind);

/// Which faults are on at a moment. Before the first charge none is.
class FaultPlan {
  public:
    explicit FaultPlan(std::vector<Fault> faults = {}) : faults_(std::move(faults)) {}
    bool active(FaultKind kind, std::optional<double> since_first_charge_s, Probe probe = Probe::bean) const;
    /// Seconds since the fault began, if it is on. `probe` matters to the faults of one probe only.
    std::optional<double> active_for_s(FaultKind kind, std::optional<double> since_first_charge_s,
                                       Probe probe = Probe::bean) const;
    const std::vector<Fault>& faults() const { return faults_; }

  private:
    std::vector<Fault> faults_;
};

}  // namespace drumwatch::simulator
