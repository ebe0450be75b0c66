#include "support/made_roasts/site.hpp"

#include <algorithm>
#include <cmath>

#include "core/milli.hpp"
#include "support/made_roasts/batch.hpp"

namespace drumwatch {
namespace {

PlantConstants machine(MachineSize size, TestRandom& random) {
    PlantConstants plant;
    if (size == MachineSize::sample_drum) {
        plant.gas_kg_s = 0.0075;
        plant.gas_bean_kw = 0.0100;
        plant.metal_kj = 1.6;
        plant.probe_lag_s = random.uniform(10, 18);
        plant.loss_kw = 0.0012;
    } else if (size == MachineSize::hot_air) {
        plant.gas_kg_s = 0.012;
        plant.gas_bean_kw = 0.0140;
        plant.metal_bean_kw = 0.0006;
        plant.metal_kj = 0.5;
        plant.flame_kw = 0;
        plant.gas_span_c = 190;
        plant.probe_lag_s = random.uniform(10, 20);
    } else {
        plant.probe_lag_s = random.uniform(16, 34);
    }
    for (double* constant : {&plant.gas_kg_s, &plant.gas_bean_kw, &plant.gas_metal_kw, &plant.metal_bean_kw,
                             &plant.metal_kj, &plant.flame_kw, &plant.core_kw})
        *constant *= random.uniform(0.85, 1.15);
    plant.core_kw *= std::exp(random.uniform(0, 2));  // up to a bean that is as warm inside as outside
    plant.burner_lag_s = random.uniform(8, 22);
    plant.probe_gas = random.uniform(0.02, 0.12);
    plant.probe_surface = random.uniform(0.5, 0.95);
    return plant;
}

void coffee(Site& site, TestRandom& random) {
    site.plant.moisture = random.uniform(0.100, 0.130);
    site.plant.drying = random.uniform(0.8, 1.2);
    site.plant.self_heat = random.uniform(0.45, 1.0);
    site.plant.crack_steam = random.uniform(0.0005, 0.0025);
    site.crack_c = random.uniform(194, 203);
    site.crack_spread_c = random.uniform(0.8, 1.8);
    site.drop_after_crack_s = random.uniform(60, 150);
}

/// Burner down in four to six steps, airflow up in one to three; some by bean temperature, some after first
/// crack.
void plan_moves(Site& site, double crack_s, TestRandom& random) {
    const auto trigger = [&](double share) {
        if (share > 1)
            return Trigger{TriggerKind::after_first_crack_s,
                           std::round(std::min((share - 1) * crack_s, 0.6 * site.drop_after_crack_s))};
        if (random.uniform() < 0.3 && share > 0.35)
            return Trigger{TriggerKind::bean_c, std::round(110 + 85 * share)};
        return Trigger{TriggerKind::at_s, std::round(share * crack_s)};
    };
    double burner = site.first_burner * 100;
    const int steps = 4 + static_cast<int>(random.below(3));
    for (int i = 0; i < steps; ++i) {
        burner = std::round(burner * random.uniform(0.80, 0.93));
        const double share = 0.28 + 0.80 * (i + random.uniform(-0.2, 0.2)) / (steps - 1);
        site.moves.push_back({Control::burner, burner, LevelUnit::percent, trigger(share)});
    }
    double airflow = site.first_airflow * 100;
    const int airs = 1 + static_cast<int>(random.below(3));
    for (int i = 0; i < airs; ++i) {
        airflow += std::round(random.uniform(6, 15));
        const double share = 0.35 + 0.6 * (i + random.uniform(0.1, 0.9)) / airs;
        site.moves.push_back({Control::airflow, airflow, LevelUnit::percent, trigger(share)});
    }
}

BatchPlan undisturbed(bool held) {
    BatchPlan plan;
    plan.held = held;
    return plan;
}

double crack_of(const Site& site, bool held) {
    const double crack_s = made_batch(site, undisturbed(held)).truth.crack_s;
    return crack_s > 0 ? crack_s : 1500;
}

/// As if somebody had turned the burner up or down as a whole until first crack came in time: by halving.
void fit_heat(Site& site, double wanted_s, bool held) {
    double low = 40;
    double high = 420;
    for (int i = 0; i < 18; ++i) {
        site.plant.gas_span_c = (low + high) / 2;
        (crack_of(site, held) > wanted_s ? low : high) = site.plant.gas_span_c;
    }
}

/// The undisturbed batch, by the second.
void take_target(Site& site, std::uint64_t seed, bool held) {
    const MadeBatch made = made_batch(site, undisturbed(held));
    Target& target = site.target;
    target.name = "made-" + std::to_string(seed);
    target.status = TargetStatus::approved;
    target.approved_by = "A. Taster";
    target.coffee = target.name;
    const auto charge_ms = std::llround(made.truth.charge_s * 1000);
    double next_s = 0;
    for (const RoastRow& row : made.file.rows) {
        const double t_s = static_cast<double>(row.elapsed_ms - charge_ms) / 1000;
        if (t_s < next_s || t_s > made.truth.drop_s) continue;
        target.points.push_back({t_s, from_milli(row.values[0].value_or(0))});
        next_s = t_s + 1;
    }
    const auto at = [&](Milestone milestone) -> auto& {
        return target.milestones[static_cast<std::size_t>(milestone)];
    };
    at(Milestone::turning_point) = TargetMilestone{made.truth.turning_point_s, made.truth.turning_point_c};
    at(Milestone::first_crack) = TargetMilestone{made.truth.crack_s, made.truth.crack_c};
    target.moves = site.moves;
    target.drop = Trigger{TriggerKind::after_first_crack_s, site.drop_after_crack_s};
}

Site any_site(std::uint64_t seed, TestRandom& random, bool held) {
    Site site;
    const MachineSize sizes[] = {MachineSize::sample_drum, MachineSize::shop_drum, MachineSize::hot_air};
    site.size = sizes[seed % 3];
    site.plant = machine(site.size, random);
    coffee(site, random);
    site.charge_c = random.uniform(180, 215);
    site.first_burner = random.uniform(0.6, 0.85);
    site.first_airflow = random.uniform(0.3, 0.5);
    const double crack_s =
        site.size == MachineSize::hot_air ? random.uniform(330, 520) : random.uniform(430, 640);
    plan_moves(site, crack_s, random);
    fit_heat(site, crack_s, held);
    take_target(site, seed, held);
    return site;
}

/// C/min over the half minute before first crack.
double rise_at_crack(const Target& target) {
    const double crack_s = target.milestones[static_cast<std::size_t>(Milestone::first_crack)]->at_s;
    const auto at = [&](double t_s) {
        return std::find_if(target.points.begin(), target.points.end(),
                            [&](const TargetPoint& point) { return point.t_s >= t_s; })
            ->bean_c;
    };
    return 2 * (at(crack_s) - at(crack_s - 30));
}

/// From 90 s on, over half a minute: between -1 and 40 C/min (judgement).
bool rises_believably(const Target& target) {
    for (std::size_t i = 0; i + 30 < target.points.size(); ++i) {
        const double rise = 2 * (target.points[i + 30].bean_c - target.points[i].bean_c);
        if (target.points[i].t_s >= 90 && (rise < -1 || rise > 40)) return false;
    }
    return true;
}

/// Turning point and drop where roasters find them, and first crack at a usual rise (6 to 10 C/min, from
/// memory).
bool is_believable(const Site& site) {
    const TargetMilestone& turning =
        *site.target.milestones[static_cast<std::size_t>(Milestone::turning_point)];
    const double end_c = site.target.points.back().bean_c;
    return turning.at_s > 26 && turning.at_s < 125 && *turning.bean_c > 52 && *turning.bean_c < 118 &&
           end_c > 192 && end_c < 242 && rise_at_crack(site.target) > 6 &&
           rise_at_crack(site.target) < 10.5 && rises_believably(site.target);
}

}  // namespace

PlantState preheated(const Site& site) {
    PlantState state;
    state.metal_c = site.charge_c;
    state.probe_c = site.charge_c;
    state.inlet_c = site.charge_c + 30;
    state.outlet_c = site.charge_c;
    state.exhaust_c = site.charge_c;
    return state;
}

Site made_site(std::uint64_t seed, bool held) {
    TestRandom random(seed);
    for (;;) {
        Site site = any_site(seed, random, held);
        if (is_believable(site)) return site;
    }
}

}  // namespace drumwatch
