#pragma once

#include <cstdint>
#include <optional>

#include "simulator/floor/faults.hpp"
#include "simulator/floor/probe_bank.hpp"
#include "simulator/floor/truth_log.hpp"
#include "simulator/machine/plant.hpp"

namespace drumwatch::simulator {

/// The inner step: all tick periods of the daemon are whole multiples of it.
inline constexpr std::int64_t kStep_ms = 25;

enum class Status : std::uint16_t { preheating = 0, ready_to_charge = 1, roasting = 2, idle = 3 };

/// How one batch differs from the machine file.
struct BatchScatter {
    double moisture = 0.0;
    double first_crack_c = 0.0;
};

/// The machine on its floor: the plant, its probes, the clock, and what really happened. Whoever operates it
/// calls set_burner, set_airflow, charge and drop, and sees only readings() and listen(). Deterministic for a
/// seed.
class Floor {
  public:
    struct Options {
        std::uint64_t seed = 1;
        bool quiet_probes = false;
        FaultPlan faults;
    };
    Floor(const Machine& machine, Options options, TruthSink sink);

    void step();

    void set_status(Status status) { status_ = status; }
    void set_burner(double pct);
    void set_airflow(double pct) { plant_.set_airflow(pct); }
    void charge(const BatchScatter& scatter);
    void drop();
    /// Writes into the truth log, with time, batch and temperature filled in.
    void note(const std::string& name, decltype(TruthEvent::more) more = {});

    const Machine& machine() const { return machine_; }
    std::int64_t sim_ms() const { return sim_ms_; }
    double sim_s() const { return static_cast<double>(sim_ms_) / 1000.0; }
    Status status() const { return status_; }
    const Readings& readings() const { return readings_; }
    double bean_reading_c() const { return readings_[static_cast<std::size_t>(Probe::bean)]; }
    double true_bean_c() const { return plant_.state().probe_c; }
    double burner_pct() const { return plant_.burner_pct(); }
    double airflow_pct() const { return plant_.airflow_pct(); }
    double weight_loss_pct() const;
    double holding_burner_pct(double probe_c) const { return plant_.holding_burner_pct(probe_c); }
    bool roasting() const { return plant_.drum_full(); }
    /// Batches charged so far, which is the number of the one in the drum.
    int batch() const { return batch_; }
    bool cooling() const { return cooling_batch_ != 0; }
    /// Since the charge of the batch in the drum, or of the last one.
    std::optional<double> since_charge_s() const { return since_s(charged_ms_); }
    std::optional<double> since_drop_s() const { return since_s(dropped_ms_); }
    /// What a listener hears: when first crack began, in seconds since charge.
    std::optional<double> first_crack_at_s() const { return first_crack_at_s_; }
    bool fault_active(FaultKind kind) const {
        return options_.faults.active(kind, since_s(first_charged_ms_));
    }
    bool any_fault_pending() const { return !options_.faults.faults().empty(); }

  private:
    std::optional<double> since_s(std::optional<std::int64_t> then_ms) const;
    TruthEvent event(const std::string& name) const;
    void watch_faults();
    void watch_roast(double bean_before_c);
    void watch_tray();

    Machine machine_;
    Options options_;
    TruthSink sink_;
    Plant plant_;
    ProbeBank probes_;
    Readings readings_{};
    std::int64_t sim_ms_ = 0;
    Status status_ = Status::preheating;
    double wanted_burner_pct_ = 0.0;
    int batch_ = 0;
    BatchScatter scatter_;
    std::optional<std::int64_t> first_charged_ms_, charged_ms_, dropped_ms_;
    std::optional<double> first_crack_at_s_;
    bool turned_ = false, yellow_ = false;
    int cooling_batch_ = 0;
    std::int64_t cooling_charged_ms_ = 0;
    std::vector<bool> fault_on_;
};

}  // namespace drumwatch::simulator
