// Targets made from made roasts, against what was planned and against the curves without noise.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "rerun/source_roast.hpp"
#include "roast/target/made_curve.hpp"
#include "roast/target/robust.hpp"
#include "roast/target/target_curve.hpp"
#include "support/made_roasts/batch.hpp"
#include "support/made_roasts/dirty_controls.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr std::uint64_t kMadeSites = 4;
#else
constexpr std::uint64_t kMadeSites = 40;
#endif

/// Sensors at their worst, hands as `plan_of` has them or perfect.
BatchPlan plan_for(const Site& site, std::uint64_t seed, int number, bool perfect) {
    BatchPlan plan = plan_of(site, seed, number);
    plan.spikes_per_min = 0.5;
    plan.lost = 0.004;
    if (!perfect) return plan;
    plan.hands_s = plan.late_moves = plan.wrong_levels = plan.missed_moves = plan.corrections = 0;
    return plan;
}

struct Material {
    std::vector<SourceRoast> roasts;
    std::vector<BatchTruth> truths;
};

Material material(const Site& site, std::uint64_t seed, int count, bool perfect) {
    Material all;
    TestRandom random(seed * 31);
    for (int number = 1; static_cast<int>(all.roasts.size()) < count && number < 40; ++number) {
        MadeBatch made = made_batch(site, plan_for(site, seed, number, perfect));
        dirty_controls(made.file, random.uniform(0, 6), 0.35, random);
        auto roast = source_roast(made.file, "roast");
        // A charge or drop that the engine misses is a matter of the milestones, not of the making.
        if (!roast || std::fabs(roast.value().drop_s() - made.truth.drop_s) > 15) continue;
        all.roasts.push_back(std::move(roast.value()));
        all.truths.push_back(std::move(made.truth));
    }
    return all;
}

/// When the move was due in that roast by the plan's own clock.
double due_s(const PlannedMove& move, const BatchTruth& truth) {
    if (move.when.kind == TriggerKind::at_s) return move.when.value;
    if (move.when.kind == TriggerKind::after_first_crack_s) return truth.crack_s + move.when.value;
    auto s = static_cast<std::size_t>(truth.turning_point_s);
    while (s < truth.probe_c.size() && truth.probe_c[s] < move.when.value) ++s;
    return static_cast<double>(s);
}

/// When the roasts made a planned move. Nothing where it can't be told apart: another move of that control
/// within 10 s in one of them (a valve that travels shows no level between), at the drop; and where not more
/// than half of them made it as planned, to its level and within 15 s: hands that fail at the same move can't
/// be outvoted.
std::optional<double> made_at(const Material& all, const PlannedMove& plan, int planned) {
    std::vector<double> times;
    std::size_t right = 0;
    for (const BatchTruth& truth : all.truths) {
        for (const BatchTruth::Move& move : truth.moves) {
            if (move.planned != planned || move.at_s > truth.drop_s - 6) continue;
            for (const BatchTruth::Move& other : truth.moves)
                if (&other != &move && other.control == plan.control &&
                    std::fabs(other.at_s - move.at_s) < 10)
                    return std::nullopt;
            times.push_back(move.at_s);
            if (std::fabs(move.level - plan.to) <= 1 && std::fabs(move.at_s - due_s(plan, truth)) <= 15)
                ++right;
        }
    }
    if (2 * right <= all.truths.size()) return std::nullopt;
    return median(std::move(times));
}

bool recovers(const Target& target, const PlannedMove& planned, double at_s, double within_s) {
    const TargetCurve curve(std::make_shared<const Target>(target));
    return std::any_of(target.moves.begin(), target.moves.end(), [&](const PlannedMove& move) {
        if (move.control != planned.control || std::fabs(move.to - planned.to) > 1.01) return false;
        if (move.when.kind == planned.when.kind && move.when.kind != TriggerKind::at_s)
            return std::fabs(move.when.value - planned.when.value) <=
                   (move.when.kind == TriggerKind::bean_c ? 3 : 8);
        const double when_s = move.when.kind == TriggerKind::at_s ? move.when.value
                              : move.when.kind == TriggerKind::bean_c
                                  ? curve.time_at(move.when.value).value_or(-99)
                                  : curve.crack_s().value_or(-99) + move.when.value;
        return std::fabs(when_s - at_s) <= within_s;
    });
}

struct Recovery {
    int planned = 0;
    int found = 0;
    int made_up = 0;
    double share() const { return 100.0 * found / planned; }
};

Recovery recovery(int roasts, bool perfect, double within_s) {
    Recovery sum;
    for (std::uint64_t seed = 1; seed <= kMadeSites; ++seed) {
        const Site site = made_site(seed);
        const Material all = material(site, seed, roasts, perfect);
        const Target target = make_target(all.roasts, {}).target;
        int here = 0;
        for (std::size_t i = 0; i < site.moves.size(); ++i) {
            const auto at_s = made_at(all, site.moves[i], static_cast<int>(i));
            if (!at_s) continue;
            ++sum.planned;
            if (recovers(target, site.moves[i], *at_s, within_s)) ++here;
        }
        sum.found += here;
        sum.made_up +=
            std::max(0, static_cast<int>(target.moves.size()) - static_cast<int>(site.moves.size()));
    }
    return sum;
}

}  // namespace

TEST_CASE("target make recovers 99 of 100 planned moves from a single roast") {
    const Recovery one = recovery(1, true, 2);
    MESSAGE("sites 1 to ", kMadeSites, ": ", one.found, " of ", one.planned, " within 2 s, ", one.made_up,
            " made up");
    CHECK(one.planned > 5 * static_cast<int>(kMadeSites));
    CHECK(one.share() >= 99);
    CHECK(one.made_up <= one.planned / 100);
}

TEST_CASE("target make recovers 99 of 100 planned moves from three and five roasts by hands that err") {
    for (const int roasts : {3, 5}) {
        CAPTURE(roasts);
        const Recovery several = recovery(roasts, false, 15);
        MESSAGE("sites 1 to ", kMadeSites, ", ", roasts, " roasts: ", several.found, " of ", several.planned,
                ", ", several.made_up, " made up");
        CHECK(several.planned > 3 * static_cast<int>(kMadeSites));
        CHECK(several.share() >= 99);
        CHECK(several.made_up <= several.planned / 12);
    }
}

TEST_CASE("a made curve keeps the turning point's depth and the rises of the roasts without noise") {
    double depth_off = 0, worst_depth = 0, rise_off = 0;
    int sites = 0;
    for (std::uint64_t seed = 1; seed <= kMadeSites; ++seed) {
        const Site site = made_site(seed);
        const Material all = material(site, seed, 1, true);
        const BatchTruth& truth = all.truths[0];
        const Target target = make_target(all.roasts, {}).target;
        const double off = *target.milestones[1]->bean_c - truth.turning_point_c;
        depth_off += off;
        worst_depth = std::max(worst_depth, std::fabs(off));
        const TargetCurve curve(std::make_shared<const Target>(target));
        double squares = 0;
        int count = 0;
        for (std::size_t t = 100; static_cast<double>(t) + 10 < truth.drop_s; t += 5, ++count) {
            const double rise = (truth.probe_c[t + 5] - truth.probe_c[t - 5]) * 6;
            squares += std::pow(curve.rise_per_min_at(static_cast<double>(t)) - rise, 2);
        }
        rise_off += std::sqrt(squares / count);
        ++sites;
    }
    MESSAGE("turning point: mean ", depth_off / sites, " °C, worst ", worst_depth,
            "; rise: ", rise_off / sites, " °C a minute");
    CHECK(std::fabs(depth_off / sites) < 0.08);
    CHECK(worst_depth > 0.02);  // noise leaves something
    CHECK(worst_depth < 0.5);
    CHECK(rise_off / sites > 0.05);
    CHECK(rise_off / sites < 0.9);
}

TEST_CASE("a bad roast among five is left out and bends nothing") {
    const Site site = made_site(8);
    Material all = material(site, 8, 5, true);
    const Target before = make_target(all.roasts, {}).target;
    for (TargetPoint& point : all.roasts[2].bean)
        if (point.t_s > 100) point.bean_c += (point.t_s - 100) * 0.05;  // 25 degrees too hot by 600 s
    const MadeTarget after = make_target(all.roasts, {});
    const bool left_out = std::any_of(after.notes.begin(), after.notes.end(), [](const MakingNote& note) {
        return note.kind == MakingNoteKind::roast_left_out && note.roast == 2;
    });
    CHECK(left_out);
    const TargetCurve one(std::make_shared<const Target>(before));
    const TargetCurve two(std::make_shared<const Target>(after.target));
    double worst = 0;
    for (double t_s = 0; t_s < std::min(one.end_s(), two.end_s()); t_s += 5)
        worst = std::max(worst, std::fabs(one.bean_at(t_s) - two.bean_at(t_s)));
    MESSAGE("bent by at most ", worst, " °C");
    CHECK(worst > 0.001);
    CHECK(worst < 3);  // a mean would be bent by 5
}

TEST_CASE(
    "roasts that were dropped at one temperature, but at different times, bend the curve's end by nothing") {
    constexpr double kDrop_c = 210;
    std::vector<SourceRoast> roasts;
    for (const double per_min : {8.0, 8.4, 8.8, 9.2, 9.6}) {
        SourceRoast roast;
        const auto bean_c = [&](double t_s) {
            return t_s < 80 ? 90 + 0.0125 * (t_s - 80) * (t_s - 80) : 90 + per_min / 60 * (t_s - 80);
        };
        const double drop_s = 80 + (kDrop_c - 90) / per_min * 60;  // 830 to 980 s
        for (double t_s = -10; t_s <= drop_s + 5; t_s += 0.5) roast.bean.push_back({t_s, bean_c(t_s)});
        roast.milestones_s[static_cast<std::size_t>(Milestone::charge)] = 0;
        roast.milestones_s[static_cast<std::size_t>(Milestone::drop)] = drop_s;
        roasts.push_back(roast);
    }
    const Target target = make_target(roasts, {}).target;
    const TargetCurve curve(std::make_shared<const Target>(target));
    double least = 100, most = 0;
    for (double t_s = 700; t_s < curve.end_s() - 2; t_s += 1) {
        least = std::min(least, curve.rise_per_min_at(t_s));
        most = std::max(most, curve.rise_per_min_at(t_s));
    }
    CAPTURE(least);
    CAPTURE(most);
    CHECK(least > 8.2);
    CHECK(most < 9.2);
    CHECK(std::fabs(curve.bean_at(curve.end_s()) - kDrop_c) < 0.6);
}

TEST_CASE("a charge tapped late is moved back, and one that was found stays") {
    const Site site = made_site(8);
    Material all = material(site, 8, 5, true);
    const double moved_s = 4;
    SourceRoast& late = all.roasts[1];
    for (TargetPoint& point : late.bean) point.t_s -= moved_s;
    for (auto& at_s : late.milestones_s)
        if (at_s) *at_s -= moved_s;
    std::vector<MakingNote> notes;
    const MadeCurve curve(all.roasts, notes);
    CHECK(std::fabs(curve.roasts()[1].shift_s - moved_s) < 1);
    for (const std::size_t i : {0u, 2u, 3u, 4u}) CHECK(curve.roasts()[i].shift_s == 0);
}

TEST_CASE("the corridor comes from the spread, never below the site's and at most twice it") {
    int kept = 0, widened = 0;
    for (std::uint64_t seed = 1; seed <= kMadeSites; ++seed) {
        const Site site = made_site(seed);
        const Tolerance site_limits;
        for (const bool perfect : {true, false}) {
            Material all = material(site, seed, 5, perfect);
            // Five times the same roast differ by nothing.
            if (perfect) std::fill(all.roasts.begin(), all.roasts.end(), all.roasts.front());
            const Tolerance made = make_target(all.roasts, site_limits).target.tolerance;
            CHECK(made.bean_c >= site_limits.bean_c);
            CHECK(made.bean_c <= 2 * site_limits.bean_c + 1e-9);
            CHECK(made.hold_c >= made.bean_c);
            (made.bean_c > site_limits.bean_c ? widened : kept) += 1;
        }
    }
    MESSAGE(widened, " widened, ", kept, " as the site has it");
    CHECK(kept >= static_cast<int>(kMadeSites));
    CHECK(widened > 0);
}

TEST_CASE("a roast that can't be a target's says what is missing") {
    const Site site = made_site(8);
    MadeBatch made = made_batch(site, {});
    const auto says = [&](const RoastFile& file) {
        const auto roast = source_roast(file, "x.csv");
        return roast ? std::string("nothing") : roast.error();
    };
    CHECK(says(made.file) == "nothing");
    RoastFile cold = made.file;
    for (RoastRow& row : cold.rows) row.values[0] = to_milli(25);
    CHECK(says(cold) == "x.csv: no charge: none is marked, and the bean temperature shows none");
    RoastFile short_one = made.file;
    short_one.rows.resize(short_one.rows.size() / 2);
    CHECK(says(short_one) == "x.csv: no drop: none is marked, and the bean temperature shows none");
    RoastFile fahrenheit = made.file;
    for (RoastRow& row : fahrenheit.rows) row.values[0] = to_milli(from_milli(*row.values[0]) * 1.8 + 32);
    CHECK(says(fahrenheit).find("looks like degrees Fahrenheit") != std::string::npos);
    RoastFile gap = made.file;
    for (RoastRow& row : gap.rows)
        if (row.elapsed_ms > 290'000 && row.elapsed_ms < 410'000) row.values[0].reset();
    CHECK(says(gap).find("no bean reading for more than 15 s") != std::string::npos);
    RoastFile beanless = made.file;
    beanless.channels[0].role = Role::other;
    CHECK(says(beanless) == "x.csv: no bean temperature");
}
