#include "simulator/floor/floor.hpp"

#include <utility>

#include "simulator_model/beans.hpp"

namespace drumwatch::simulator {
namespace {

constexpr double kYellow_c = 150.0;  ///< reading at which beans turn yellow (common practice: 150 to 160)
constexpr double kCooled_c = 40.0;
constexpr double kTurningNotBefore_s = 5.0;

}  // namespace

Floor::Floor(const Machine& machine, Options options, TruthSink sink)
    : machine_(machine),
      options_(std::move(options)),
      sink_(std::move(sink)),
      plant_(machine),
      probes_(options_.seed ^ 0x70726F6265ULL, options_.quiet_probes, machine.ambient_c),
      fault_on_(options_.faults.faults().size(), false) {
    readings_ = probes_.read(plant_.probes(), options_.faults, std::nullopt);
}

std::optional<double> Floor::since_s(std::optional<std::int64_t> then_ms) const {
    if (!then_ms) return std::nullopt;
    return static_cast<double>(sim_ms_ - *then_ms) / 1000.0;
}

double Floor::weight_loss_pct() const { return 100.0 * weight_loss(plant_.state(), plant_.green_moisture()); }

TruthEvent Floor::event(const std::string& name) const {
    return {name, sim_ms_, batch_, since_charge_s(), true_bean_c(), {}};
}

void Floor::note(const std::string& name, decltype(TruthEvent::more) more) {
    if (!sink_) return;
    TruthEvent out = event(name);
    out.more = std::move(more);
    sink_(out);
}

void Floor::set_burner(double pct) {
    wanted_burner_pct_ = pct;
    if (!fault_active(FaultKind::runaway)) plant_.set_burner(pct);
}

void Floor::charge(const BatchScatter& scatter) {
    if (plant_.drum_full()) return;
    ++batch_;
    scatter_ = scatter;
    charged_ms_ = sim_ms_;
    if (!first_charged_ms_) first_charged_ms_ = sim_ms_;
    first_crack_at_s_.reset();
    turned_ = yellow_ = false;
    plant_.charge(machine_.charge_moisture + scatter.moisture);
    status_ = Status::roasting;
    note("charge",
         {{"mass_kg", machine_.charge_kg}, {"moisture", machine_.charge_moisture + scatter.moisture}});
}

void Floor::drop() {
    if (!plant_.drum_full()) return;
    note("drop", {{"weight_loss_pct", weight_loss_pct()}, {"mean_bean_c", plant_.state().bean_c}});
    plant_.drop();
    dropped_ms_ = sim_ms_;
    cooling_batch_ = batch_;
    cooling_charged_ms_ = *charged_ms_;
}

void Floor::step() {
    const double bean_before_c = true_bean_c();
    const bool stuck = fault_active(FaultKind::runaway);
    plant_.set_burner(stuck ? 100.0 : wanted_burner_pct_);
    plant_.step(static_cast<double>(kStep_ms) / 1000.0);
    sim_ms_ += kStep_ms;
    readings_ = probes_.read(plant_.probes(), options_.faults, since_s(first_charged_ms_));
    watch_faults();
    watch_roast(bean_before_c);
    watch_tray();
}

void Floor::watch_faults() {
    for (std::size_t i = 0; i < fault_on_.size(); ++i) {
        const FaultPlan one({options_.faults.faults()[i]});
        const bool on = one.active(one.faults()[0].kind, since_s(first_charged_ms_), one.faults()[0].probe);
        if (on == fault_on_[i]) continue;
        fault_on_[i] = on;
        note("fault", {{"kind", fault_name(one.faults()[0])}, {"on", on}});
    }
}

void Floor::watch_roast(double bean_before_c) {
    if (!plant_.drum_full()) return;
    const double since_charge = *since_charge_s();
    if (!turned_ && since_charge > kTurningNotBefore_s && true_bean_c() > bean_before_c) {
        turned_ = true;
        note("turning_point");
    }
    if (turned_ && !yellow_ && true_bean_c() >= kYellow_c) {
        yellow_ = true;
        note("yellow");
    }
    const double cracked =
        cracked_share(plant_.state().bean_c, machine_.first_crack_mean_c + scatter_.first_crack_c,
                      machine_.first_crack_sd_c);
    if (turned_ && !first_crack_at_s_ && cracked >= machine_.first_crack_audible_share) {
        first_crack_at_s_ = since_charge;
        note("first_crack", {{"cracked_share", cracked}, {"mean_bean_c", plant_.state().bean_c}});
    }
}

void Floor::watch_tray() {
    if (cooling_batch_ == 0 || plant_.tray_bean_c() > kCooled_c) return;
    TruthEvent cooled = event("cooled");
    cooled.batch = cooling_batch_;
    cooled.since_charge_s = since_s(cooling_charged_ms_);
    cooled.more = {{"tray_c", plant_.tray_bean_c()}, {"since_drop_s", *since_drop_s()}};
    cooling_batch_ = 0;
    if (sink_) sink_(cooled);
}

}  // namespace drumwatch::simulator
