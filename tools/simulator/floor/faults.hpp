#pragma once

#include <optional>
#include <string>
#include <vector>

namespace drumwatch::simulator {

enum class FaultKind {
    open_bean,         ///< bean probe open circuit
    frozen_bean,       ///< bean reading stands still
    spike_bean,        ///< bean reading jumps by 80 C for half a second; with a duration, every 5 s
    dead_bus,          ///< requests are read and never answered, connections stay
    drop_connections,  ///< all connections closed, new ones refused
    slow_reply,        ///< answers after 2 s of real time
    exception,         ///< every request is answered with exception 4 (device failure)
    short_reply,       ///< half the registers asked for
    wrong_unit,        ///< answers carry another unit's number
    swapped_words,     ///< floating-point numbers with their words exchanged
    chaff_fire,        ///< bean and exhaust temperature climb by 4 C a second
    runaway            ///< burner sticks at 100 %, and nobody drops
};

struct Fault {
    FaultKind kind = FaultKind::open_bean;
    double at_s = 0.0;            ///< since the charge of batch 1
    std::optional<double> for_s;  ///< without it the fault stays (a single spike, for spike_bean)
};

const char* fault_name(FaultKind kind);
/// For the help text: all names, comma separated.
std::string fault_names();
/// Reads KIND@WHEN or KIND@WHEN+LENGTH, for example "open-bean@300+60". Throws SetupError.
Fault parse_fault(const std::string& text);
/// True for faults in which no answer carries the time any more: in stepped time, time itself would stop.
bool stops_answers(FaultKind kind);

/// Which faults are on at a moment. Before the first charge none is.
class FaultPlan {
  public:
    explicit FaultPlan(std::vector<Fault> faults = {}) : faults_(std::move(faults)) {}
    bool active(FaultKind kind, std::optional<double> since_first_charge_s) const;
    /// Seconds since the fault began, if it is on.
    std::optional<double> active_for_s(FaultKind kind, std::optional<double> since_first_charge_s) const;
    const std::vector<Fault>& faults() const { return faults_; }

  private:
    std::vector<Fault> faults_;
};

}  // namespace drumwatch::simulator
