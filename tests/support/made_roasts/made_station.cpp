#include "support/made_roasts/made_station.hpp"

#include <algorithm>

#include "core/milli.hpp"
#include "rerun/source_roast.hpp"
#include "roast/target/make.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {
namespace {

constexpr int kSources = 4;
constexpr int kFirstSource = 1001;  // of the batches' numbers: long before

StationKit kit_of(std::uint64_t seed) {
    TestRandom random(seed * 6151);
    StationKit kit;
    kit.controls_read = random.uniform() < 0.6;
    kit.tray = random.uniform() < 0.6;
    kit.ambient = random.uniform() < 0.5;
    kit.oxidiser = random.uniform() < 0.5;
    kit.carbon_monoxide = random.uniform() < 0.5;
    kit.inlet = random.uniform() < 0.5;
    kit.limits_set = random.uniform() < 0.5;
    kit.taps_charge = random.uniform() < 0.4;
    kit.taps_drop = random.uniform() < 0.5;
    return kit;
}

/// The target as a site would make it, of roasts by the same hands.
Target site_target(const MadeStation& station) {
    std::vector<SourceRoast> sources;
    for (int number = kFirstSource; sources.size() < kSources; ++number) {
        const MadeBatch made = made_batch(station.site, source_plan_of(station, number));
        auto roast = source_roast(made.file, "roast");
        if (roast) sources.push_back(std::move(roast.value()));
    }
    Target target = make_target(sources, {}).target;
    target.name = station.site.target.name;
    target.coffee = target.name;
    target.status = TargetStatus::approved;
    target.approved_by = "A. Taster";
    return target;
}

}  // namespace

EngineSettings settings_of(const MadeStation& station) {
    EngineSettings settings;
    const StationKit& kit = station.kit;
    const auto add = [&](bool there, const char* name, Unit unit) {
        if (there) settings.channels.push_back(make_channel(name, unit));
    };
    add(true, "bean", Unit::celsius);
    add(true, "exhaust", Unit::celsius);
    add(kit.controls_read, "burner", Unit::percent);
    add(kit.controls_read, "airflow", Unit::percent);
    add(kit.inlet, "inlet", Unit::celsius);
    add(kit.tray, "tray", Unit::celsius);
    add(kit.ambient, "ambient", Unit::celsius);
    add(kit.oxidiser, "oxidiser", Unit::celsius);
    add(kit.carbon_monoxide, "carbon_monoxide", Unit::ppm);
    settings.bean_buses = 1;
    const auto limit = [&](AlarmRule rule, double limit_c) {
        settings.alarms[rule].on = true;
        settings.alarms[rule].limit = limit_c;
    };
    if (kit.oxidiser) limit(AlarmRule::oxidiser_cold, kPermit_c);
    if (!kit.limits_set) return settings;
    double exhaust_c = station.site.charge_c;
    for (const TargetPoint& point : station.site.target.exhaust_points)
        exhaust_c = std::max(exhaust_c, point.bean_c);
    limit(AlarmRule::exhaust_high, exhaust_c + 25);
    limit(AlarmRule::inlet_high, station.site.plant.gas_low_c + station.site.plant.gas_span_c + 20);
    return settings;
}

BatchPlan good_plan_of(const MadeStation& station, int number) {
    BatchPlan plan = plan_of(station.site, station.seed, number);
    TestRandom random(station.seed * 3571 + static_cast<std::uint64_t>(number));
    plan.corrections = 0.8;
    plan.look_every_s = 20;
    plan.trim_from_c = 0.5;
    plan.trim_gain = 3;
    plan.look_ahead = 1;
    plan.trims_back = true;
    plan.idle_s = 60;
    plan.held = true;
    plan.trim_from_s = 75;
    plan.metal_shift_c = 0;
    const int of_day = number % kBatchesADay;
    if (of_day == 0) plan.metal_shift_c = -random.uniform(10, 30);  // the first: only just warm
    if (of_day == 5) plan.metal_shift_c = random.uniform(-15, 8);   // after the long break
    plan.drop_at_c = station.site.target.points.back().bean_c + random.uniform(0, 2);
    return plan;
}

BatchPlan source_plan_of(const MadeStation& station, int number) {
    BatchPlan plan = good_plan_of(station, number);
    for (double* off : {&plan.crack_shift_c, &plan.moisture_shift, &plan.inlet_shift_c, &plan.charge_shift_c,
                        &plan.metal_shift_c})
        *off *= 0.3;
    plan.gas = 1 + 0.3 * (plan.gas - 1);
    plan.green_c = 22 + 0.3 * (plan.green_c - 22);
    plan.late_moves = plan.wrong_levels = plan.missed_moves = plan.corrections = 0;
    return plan;
}

MadeStation made_station(std::uint64_t seed) {
    MadeStation station;
    station.seed = seed;
    station.site = made_site(seed, true);
    station.kit = kit_of(seed);
    station.site.target = site_target(station);
    station.site.moves = station.site.target.moves;
    station.settings = settings_of(station);
    return station;
}

}  // namespace drumwatch
