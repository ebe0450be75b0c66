#include "support/made_roasts/made_day.hpp"

#include <algorithm>
#include <cmath>

#include "core/milli.hpp"
#include "roast/target/target_curve.hpp"
#include "support/made_roasts/day_maker.hpp"
#include "support/made_roasts/kept_truth.hpp"

namespace drumwatch {
namespace {

constexpr double kMorning_s = 1800;
constexpr double kAfterwards_s = 420;
constexpr double kGivesUpAfter_s = 45;  // of a leap: the drum is emptied, by whatever the site's card says

/// When the target has it due; nothing for a move after first crack.
std::optional<double> target_time_s(const TargetCurve& curve, const Trigger& when) {
    if (when.kind == TriggerKind::at_s) return when.value;
    return when.kind == TriggerKind::bean_c ? curve.time_at(when.value) : std::nullopt;
}

/// Another planned move of the burner so near that one turn of the knob might be meant for both.
bool has_neighbour(const Site& site, const TargetCurve& curve, std::size_t index, double due_s) {
    for (std::size_t i = 0; i < site.moves.size(); ++i) {
        const auto other_s = target_time_s(curve, site.moves[i].when);
        const bool near = other_s && std::fabs(*other_s - due_s) < 20;
        if (i != index && site.moves[i].control == Control::burner && near) return true;
    }
    return false;
}

/// The planned burner move that changes most, well within the roast and away from others; the first where
/// there is none.
int largest_move(const Site& site, const TargetCurve& curve) {
    double before = site.first_burner * 100;
    double largest = 0;
    int found = 0;
    for (std::size_t i = 0; i < site.moves.size(); ++i) {
        const PlannedMove& move = site.moves[i];
        if (move.control != Control::burner) continue;
        const double step = std::fabs(move.to - before);
        before = move.to;
        const auto due_s = target_time_s(curve, move.when);
        if (!due_s || *due_s < 160 || *due_s > curve.end_s() - 150 || step <= largest) continue;
        if (has_neighbour(site, curve, i, *due_s)) continue;
        largest = step;
        found = static_cast<int>(i);
    }
    return found;
}

double first_at_s(const BatchTruth& truth, double bean_c) {
    auto s = static_cast<std::size_t>(std::max(0.0, truth.turning_point_s));
    while (s + 1 < truth.probe_c.size() && truth.probe_c[s] < bean_c) ++s;
    return static_cast<double>(s);
}

/// What the trouble does to machine and hands; gives its onset in seconds since charge, nothing where only
/// the batch itself can tell.
std::optional<double> plan_trouble(const Site& site, Trouble trouble, BatchPlan& plan, TestRandom& random) {
    const TargetCurve curve(std::make_shared<const Target>(site.target));
    const double crack_s = curve.crack_s().value_or(curve.end_s() - 90);
    const auto hot_s = [&](double bean_c) { return curve.time_at(bean_c).value_or(crack_s * 0.6); };
    plan.give_up_s = curve.end_s() + 120;
    double at_s = random.uniform(200, crack_s - 60);
    switch (trouble) {
        case Trouble::late_move:
            plan.trouble.late_move = largest_move(site, curve);
            plan.trouble.late_by_s = random.uniform(60, 100);
            return std::nullopt;
        case Trouble::stall:
        case Trouble::runaway:
            at_s = trouble == Trouble::stall ? random.uniform(220, crack_s - 90)
                                             : random.uniform(hot_s(150) + 10, crack_s - 40);
            plan.trouble.heat_from_s = plan.trouble.alone_from_s = at_s;
            plan.trouble.heat_over_s = trouble == Trouble::stall ? 100 : 15;
            plan.trouble.heat_share = trouble == Trouble::stall ? 0.15 : 2.2;
            return at_s;
        case Trouble::cold_oxidiser:
            return random.uniform(30, 150);
        case Trouble::wrong_charge:
            plan.trouble.charge_share = 0.5;
            return 0;
        case Trouble::slow_cooling:
            return std::nullopt;
        case Trouble::leap:
            at_s = random.uniform(hot_s(172), crack_s);
            plan.give_up_s = at_s + kGivesUpAfter_s;
            return at_s;
        default:
            return at_s;
    }
}

void spoil_rows(DayMaker& maker, Trouble trouble, double at_s) {
    if (trouble == Trouble::cold_oxidiser) maker.around().let_chamber_cool(at_s);
    if (trouble == Trouble::slow_cooling) maker.around().choke_tray(maker.random().uniform(2.2, 3.5));
    std::optional<Milli> stuck;
    maker.change = [trouble, at_s, stuck](double now_s, RoastRow& row) mutable {
        if (trouble == Trouble::leap) {
            for (std::size_t i = 0; i < 2; ++i)
                if (row.values[i]) *row.values[i] += to_milli(leap_c(now_s - at_s)).value_or(0);
        }
        if (trouble != Trouble::frozen_probe || !row.values[0]) return;
        if (now_s < at_s) stuck = row.values[0];
        row.values[0] = stuck;
    };
}

void observe(MadeDay& day, double at_s, Health health) {
    day.observations.push_back({Tick{on_grid(at_s)}, health, 0, true});
}

/// On the wire: the bus of the machine's own probes does not answer, the bean probe's circuit is open.
void spoil_frames(MadeDay& day, Trouble trouble) {
    const std::int64_t silent_ms = 1'000;
    for (Frame& frame : day.frames) {
        if (frame.tick < day.trouble_at) continue;
        if (trouble == Trouble::open_probe) frame.samples[0].quality = Quality::open_circuit;
        if (trouble != Trouble::dead_bus) continue;
        for (std::size_t i = 0; i < day.begin.settings.channels.size(); ++i) {
            if (!on_machine_bus(day.begin.settings.channels[i].role)) continue;
            frame.samples[i].fresh = false;
            if (frame.tick - day.trouble_at >= silent_ms) frame.samples[i].quality = Quality::bus_silent;
        }
    }
}

/// Not one that would be set aside: by the truth, and by rules of its own (kept_truth.hpp).
bool is_good(const MadeStation& station, const MadeBatch& made) {
    return true_verdict(station.site, made.truth).disposition != Disposition::hold;
}

/// A good roast; for a late move one that nobody trims, so that it stays as late as it was.
BatchPlan untroubled_plan(const MadeStation& station, Trouble trouble) {
    const int first = 1 + static_cast<int>(trouble) % 4;
    for (int day = 0;; ++day) {
        const int number = first + day * kBatchesADay;
        const BatchPlan plan =
            trouble == Trouble::late_move ? source_plan_of(station, number) : good_plan_of(station, number);
        if (is_good(station, made_batch(station.site, plan))) return plan;
    }
}

}  // namespace

std::string_view name(Trouble trouble) {
    constexpr std::array<std::string_view, kTroubles> kNames{
        "late move", "stall",         "runaway rise", "open probe",   "frozen probe", "dead bus",
        "full disk", "cold oxidiser", "slow cooling", "wrong charge", "leap"};
    return kNames[static_cast<std::size_t>(trouble)];
}

double leap_c(double since_s) {
    if (since_s < 0) return 0;
    return 80 * (since_s < 20 ? since_s / 20 : std::exp(-(since_s - 20) / 100));
}

bool on_machine_bus(Role role) {
    return role == Role::bean || role == Role::exhaust || role == Role::burner || role == Role::airflow ||
           role == Role::inlet;
}

MadeDay good_day(const MadeStation& station, int batches) {
    DayMaker maker(station, station.seed * 7877);
    for (int number = 0; number < batches; ++number) {
        BatchPlan plan = good_plan_of(station, number);
        MadeBatch made = made_batch(station.site, plan);
        for (int day = 1; !is_good(station, made); ++day) {
            ++maker.day().turned_away;
            plan = good_plan_of(station, number + day * kBatchesADay);
            made = made_batch(station.site, plan);
        }
        const bool long_break = number == kBatchesADay / 2;
        const double gap_s = number == 0 ? kMorning_s : long_break ? 1500 : maker.random().uniform(90, 260);
        maker.come_to(made, plan, gap_s);
        maker.roast(made, plan);
        maker.taps(station.kit.taps_drop);
        if (number + 1 == batches) maker.wait(plan, kAfterwards_s);
    }
    return maker.finish();
}

MadeDay troubled_day(const MadeStation& healthy, Trouble trouble) {
    MadeStation station = healthy;
    station.kit.tray |= trouble == Trouble::slow_cooling;
    station.kit.oxidiser |= trouble == Trouble::cold_oxidiser;
    station.settings = settings_of(station);
    DayMaker maker(station, station.seed * 6491 + static_cast<std::uint64_t>(trouble));
    BatchPlan plan = untroubled_plan(station, trouble);
    std::optional<double> at_s = plan_trouble(station.site, trouble, plan, maker.random());
    const MadeBatch made = made_batch(station.site, plan);
    const double charge_s = kMorning_s + made.truth.charge_s;
    if (trouble == Trouble::slow_cooling) at_s = made.truth.drop_s;
    if (!at_s) {
        const Trigger& when = station.site.moves.at(static_cast<std::size_t>(plan.trouble.late_move)).when;
        at_s = when.kind == TriggerKind::bean_c ? first_at_s(made.truth, when.value) : when.value;
    }
    spoil_rows(maker, trouble, charge_s + *at_s);
    maker.come_to(made, plan, kMorning_s);
    maker.roast(made, plan);
    if (trouble == Trouble::leap) maker.give_up();
    maker.taps(trouble != Trouble::leap);
    maker.wait(plan, kAfterwards_s);
    MadeDay day = maker.finish();
    day.trouble_at = Tick{on_grid(charge_s + *at_s)};
    spoil_frames(day, trouble);
    const double day_s = charge_s + *at_s;
    if (trouble == Trouble::dead_bus) observe(day, day_s + 1, Health::bus_silent);
    if (trouble == Trouble::full_disk) {
        observe(day, day_s, Health::disk_low);
        observe(day, day_s + 120, Health::record_failing);
    }
    return day;
}

}  // namespace drumwatch
