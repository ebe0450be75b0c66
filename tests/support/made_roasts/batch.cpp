#include "support/made_roasts/batch.hpp"

#include <algorithm>
#include <cmath>

#include "core/milli.hpp"
#include "support/random.hpp"

namespace drumwatch {
namespace {

constexpr double kStep_s = 0.125;

/// What the operator means to do, and when it will be done.
struct Intent {
    PlannedMove move;
    int planned = -1;
    double delay_s = 0;
    double level = 0;
    double due_s = -1;  ///< since charge, once its trigger has come
    bool done = false;
    bool missed = false;
};

std::vector<Intent> intents(const Site& site, const BatchPlan& plan, TestRandom& random) {
    std::vector<Intent> all;
    for (std::size_t i = 0; i < site.moves.size(); ++i) {
        Intent intent;
        intent.move = site.moves[i];
        intent.planned = static_cast<int>(i);
        intent.level = intent.move.to;
        intent.delay_s = plan.hands_s * random.normal();
        if (random.uniform() < plan.late_moves) intent.delay_s = random.uniform(12, 60);
        if (random.uniform() < plan.wrong_levels) intent.level += random.uniform() < 0.5 ? 8 : -8;
        intent.missed = random.uniform() < plan.missed_moves;
        if (plan.trouble.late_move == static_cast<int>(i)) {
            intent.delay_s = plan.trouble.late_by_s;
            intent.level = intent.move.to;
            intent.missed = false;
        }
        all.push_back(intent);
    }
    return all;
}

/// The same machine for less coffee, per kg of it. The bed touches less of the drum, but not as much less.
void charge_less(PlantConstants& plant, double share) {
    for (double* per_kg :
         {&plant.gas_kg_s, &plant.gas_metal_kw, &plant.metal_kj, &plant.loss_kw, &plant.flame_kw})
        *per_kg /= share;
    plant.metal_bean_kw /= std::sqrt(share);
}

/// The machine, the coffee and the hands, from the idle drum to the emptied one.
class Running {
  public:
    Running(const Site& site, const BatchPlan& plan, TestRandom& random)
        : site_(site),
          plan_(plan),
          random_(random),
          plant_(site.plant),
          intents_(intents(site, plan, random)) {
        plant_.gas_kg_s *= plan.gas;
        plant_.moisture += plan.moisture_shift;
        plant_.gas_low_c += plan.inlet_shift_c;
        charge_less(plant_, plan.trouble.charge_share);
        state_ = preheated(site);
        state_.metal_c += plan.charge_shift_c + plan.metal_shift_c;
        state_.probe_c += plan.charge_shift_c;
        controls_.burner = site.first_burner;
        meant_burner_ = site.first_burner * 100;
        controls_.airflow = site.first_airflow;
        crack_c_ = site.crack_c + plan.crack_shift_c;
    }

    /// `t_s` since charge; one step of kStep_s.
    void step(double t_s) {
        if (!charged_ && t_s >= 0) {
            charge(state_, plant_, plan_.green_c);
            charged_ = true;
        }
        if (charged_ && t_s >= static_cast<double>(truth_.probe_c.size()))
            truth_.probe_c.push_back(state_.probe_c);
        if (charged_ && !dropped_) watch(t_s);
        open_door();
        Controls given = controls_;
        given.burner *= heat_share(t_s);
        if (charged_ || !plan_.held) advance(state_, plant_, given, charged_ && !dropped_, kStep_s);
    }
    bool dropped() const { return dropped_; }
    const PlantState& state() const { return state_; }
    const Controls& controls() const { return controls_; }
    BatchTruth& truth() { return truth_; }

  private:
    double heat_share(double t_s) const {
        const BatchTrouble& trouble = plan_.trouble;
        const double done = std::clamp((t_s - trouble.heat_from_s) / trouble.heat_over_s, 0.0, 1.0);
        return 1 + (trouble.heat_share - 1) * done;
    }
    void watch(double t_s) {
        if (!turned_ && t_s > 10 && state_.probe_c > lowest_c_ + 0.02) {
            turned_ = true;
            truth_.turning_point_s = lowest_s_;
            truth_.turning_point_c = lowest_c_;
        }
        if (state_.probe_c < lowest_c_) {
            lowest_c_ = state_.probe_c;
            lowest_s_ = t_s;
        }
        if (state_.cracked_since_s < 0 && bean_c(state_, plant_) >= crack_c_) {
            state_.cracked_since_s = 0;
            truth_.crack_s = t_s;
            truth_.crack_c = state_.probe_c;
        }
        for (Intent& intent : intents_) move(intent, t_s);
        correct(t_s);
        const bool over =
            truth_.crack_s > 0 && t_s >= truth_.crack_s + site_.drop_after_crack_s + plan_.drop_shift_s;
        const bool hot = truth_.crack_s > 0 && state_.probe_c >= plan_.drop_at_c;
        if (over || hot || t_s > plan_.give_up_s) {
            dropped_ = true;
            truth_.drop_s = t_s;
        }
    }
    void move(Intent& intent, double t_s) {
        if (intent.done || intent.missed) return;
        const Trigger& when = intent.move.when;
        const bool came = when.kind == TriggerKind::at_s ? t_s >= when.value + std::min(0.0, intent.delay_s)
                          : when.kind == TriggerKind::bean_c
                              ? turned_ && state_.probe_c >= when.value
                              : truth_.crack_s > 0 && t_s >= truth_.crack_s + when.value;
        if (came && intent.due_s < 0) {
            const double trigger_s = when.kind == TriggerKind::at_s ? when.value : t_s;
            intent.due_s = std::max(t_s, trigger_s + intent.delay_s);
        }
        if (intent.due_s < 0 || t_s < intent.due_s) return;
        intent.done = true;
        set(intent.move.control, intent.level, t_s, intent.planned);
    }
    /// An operator who follows the target trims the burner a little round its planned level by what is
    /// missing.
    void correct(double t_s) {
        if (plan_.corrections <= 0 || t_s < next_look_s_ || t_s < plan_.trim_from_s) return;
        next_look_s_ = t_s + plan_.look_every_s;
        if (random_.uniform() > plan_.corrections || site_.target.points.empty()) return;
        if (t_s >= plan_.trouble.alone_from_s) return;
        const double now = state_.probe_c - target_c(t_s);
        const double off = now + plan_.look_ahead * (now - off_before_c_.value_or(now));
        off_before_c_ = now;
        const bool near = std::fabs(off) < plan_.trim_from_c;
        if (near && !plan_.trims_back) return;
        const double trim = near ? 0 : std::clamp(-plan_.trim_gain * off, -8.0, 8.0);
        if (near && controls_.burner * 100 == meant_burner_) return;
        set(Control::burner, std::clamp(std::round(meant_burner_ + trim), 5.0, 100.0), t_s, -1);
    }
    double target_c(double t_s) const {
        const auto& points = site_.target.points;
        const auto after =
            std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.t_s >= t_s; });
        return after == points.end() ? points.back().bean_c : after->bean_c;
    }
    void set(Control control, double level, double t_s, int planned) {
        (control == Control::burner ? controls_.burner : controls_.airflow) = level / 100;
        if (control == Control::burner && planned >= 0) meant_burner_ = level;
        truth_.moves.push_back({control, t_s, level, planned});
    }
    /// The emptied drum stands open; the hopper's gate lets in no air to speak of.
    void open_door() {
        controls_.door_open = dropped_;
        if (dropped_) controls_.burner = 0;
    }

    const Site& site_;
    const BatchPlan& plan_;
    TestRandom& random_;
    PlantConstants plant_;
    PlantState state_;
    Controls controls_;
    double meant_burner_ = 0;  ///< %, without trims
    std::vector<Intent> intents_;
    BatchTruth truth_;
    double crack_c_ = 198;
    double lowest_c_ = 1000;
    double lowest_s_ = 0;
    double next_look_s_ = 0;
    std::optional<double> off_before_c_;
    bool charged_ = false;
    bool turned_ = false;
    bool dropped_ = false;
};

/// What a probe's line shows: noise, steps, spikes, lost readings.
class Sensors {
  public:
    Sensors(const BatchPlan& plan, TestRandom& random) : plan_(plan), random_(random) {}

    std::optional<Milli> read(double true_c, double step_s) {
        if (open_s_ > 0) {
            open_s_ -= step_s;
            return std::nullopt;
        }
        if (random_.uniform() < plan_.lost) {
            if (random_.uniform() < 0.05) open_s_ = random_.uniform(0.5, 3);
            return std::nullopt;
        }
        double shown = true_c + plan_.noise_c * random_.normal();
        if (random_.uniform() < plan_.spikes_per_min * step_s / 60)
            shown += random_.uniform() < 0.5 ? 25 : -18;
        return to_milli(std::round(shown / plan_.quantum_c) * plan_.quantum_c);
    }

  private:
    const BatchPlan& plan_;
    TestRandom& random_;
    double open_s_ = 0;
};

ChannelTable made_channels() {
    ChannelTable channels;
    const auto add = [&](const char* name, Role role, Unit unit) {
        Channel channel;
        channel.name = name;
        channel.role = role;
        channel.unit = unit;
        channels.push_back(channel);
    };
    add("bean", Role::bean, Unit::celsius);
    add("exhaust", Role::exhaust, Unit::celsius);
    add("burner", Role::burner, Unit::percent);
    add("airflow", Role::airflow, Unit::percent);
    return channels;
}

void mark_crack(MadeBatch& made, const BatchPlan& plan, TestRandom& random) {
    if (made.truth.crack_s <= 0) return;
    const double tapped_s = made.truth.crack_s + plan.mark_delay_s + plan.mark_spread_s * random.normal();
    const auto at_ms = std::llround((made.truth.charge_s + tapped_s) * 1000);
    for (RoastRow& row : made.file.rows) {
        if (row.elapsed_ms < at_ms) continue;
        if (tapped_s >= made.truth.drop_s) return;
        row.mark = Milestone::first_crack;
        made.truth.tapped_s = tapped_s;
        return;
    }
}

}  // namespace

MadeBatch made_batch(const Site& site, const BatchPlan& plan) {
    TestRandom random(plan.seed);
    Running running(site, plan, random);
    Sensors bean(plan, random);
    Sensors exhaust(plan, random);
    MadeBatch made;
    made.file.channels = made_channels();
    double next_s = -plan.idle_s;
    double end_s = 2000;
    for (double t_s = -plan.idle_s; t_s <= end_s; t_s += kStep_s) {
        running.step(t_s);
        if (running.dropped()) end_s = std::min(end_s, running.truth().drop_s + plan.after_s);
        if (t_s < next_s) continue;
        next_s += plan.step_s;
        RoastRow row;
        const double jitter_s = plan.jitter_s * random.uniform(-1, 1);
        row.elapsed_ms = std::llround((t_s + plan.idle_s + jitter_s) * 1000);
        row.elapsed_ms =
            std::max(row.elapsed_ms, made.file.rows.empty() ? 0 : made.file.rows.back().elapsed_ms + 1);
        const Controls& controls = running.controls();
        row.values = {bean.read(running.state().probe_c, plan.step_s),
                      exhaust.read(running.state().exhaust_c, plan.step_s),
                      to_milli(std::round(controls.burner * 100)),
                      to_milli(std::round(controls.airflow * 100))};
        made.file.rows.push_back(row);
    }
    made.truth = running.truth();
    made.truth.charge_s = plan.idle_s - static_cast<double>(made.file.rows.front().elapsed_ms) / 1000;
    mark_crack(made, plan, random);
    return made;
}

BatchPlan plan_of(const Site& site, std::uint64_t seed, int number) {
    TestRandom random(seed * 1000 + static_cast<std::uint64_t>(number));
    BatchPlan plan;
    plan.seed = random.bits();
    const double drift_c = 1.0 * std::sin(static_cast<double>(number) / 9 + static_cast<double>(seed));
    plan.crack_shift_c = drift_c + site.crack_spread_c * random.normal();
    plan.moisture_shift = 0.003 * random.normal();
    plan.gas = 1 + 0.015 * random.normal();
    plan.inlet_shift_c = 2.0 * random.normal();
    plan.charge_shift_c = 2.0 * random.normal();
    if (number % 12 == 0) plan.metal_shift_c = -random.uniform(15, 40);  // first of the day
    if (number % 12 == 7) plan.metal_shift_c = random.uniform(-15, 8);   // after a long break
    plan.green_c = random.uniform(17, 27);
    plan.hands_s = 2.5;
    plan.late_moves = 0.05;
    plan.wrong_levels = 0.02;
    plan.missed_moves = 0.02;
    plan.corrections = random.uniform() < 0.5 ? 0.6 : 0;
    plan.mark_delay_s = 3;
    plan.mark_spread_s = 3;
    plan.drop_shift_s = 6 * random.normal();
    const double rates[] = {0.25, 0.5, 1};
    plan.step_s = rates[seed % 3];
    plan.jitter_s = plan.step_s * 0.1;
    plan.noise_c = random.uniform(0.04, 0.2);
    plan.quantum_c = seed % 4 == 0 ? 5.0 / 9 : 0.1;
    plan.spikes_per_min = random.uniform() < 0.3 ? 0.5 : 0;
    plan.lost = 0.004;
    return plan;
}

}  // namespace drumwatch
