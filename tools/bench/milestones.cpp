// How well charge, turning point and drop are found in files that mislead (tests/support/made_roasts/
// awkward.hpp). Odd seeds are for tuning, even ones are held back.
// `bench_milestones [SEEDS [tuning|held [show]]]`; `show` names the files in which something is wrong.
#include <fmt/format.h>

#include <cstdlib>
#include <cstring>

#include "core/milli.hpp"
#include "support/made_roasts/milestone_score.hpp"

namespace drumwatch {
namespace {

constexpr const char* kNames[] = {"charge", "turning point", "drop"};

void print(std::string_view title, const MilestoneScores& scores) {
    fmt::print("{:<22}", title);
    for (std::size_t i = 0; i < scores.size(); ++i) {
        const MilestoneScore& s = scores[i];
        fmt::print(" | {} {:.2f} {:.2f}, missed {}/{}, phantom {}, said after {:.1f} {:.1f}", kNames[i],
                   quantile_of_sizes(s.off_s, 0.5), quantile_of_sizes(s.off_s, 0.95), s.missed, s.there,
                   s.phantom, quantile_of_sizes(s.late_s, 0.5), quantile_of_sizes(s.late_s, 0.95));
    }
    fmt::print("\n");
}

std::string text(const std::optional<double>& time_s) {
    return time_s ? fmt::format("{:.2f}", *time_s) : "-";
}

void show(std::uint64_t seed, const AwkwardFile& made, const RerunResult& result, const MilestoneScores& s) {
    double worst_s = 0;
    for (std::size_t i = 0; i < s.size(); ++i) worst_s = std::max(worst_s, quantile_of_sizes(s[i].off_s, 1));
    if (worst_s < 2.5 &&
        s[0].missed + s[0].phantom + s[1].missed + s[1].phantom + s[2].missed + s[2].phantom == 0)
        return;
    fmt::print("  seed {}:", seed);
    const std::optional<double> truth[] = {made.truth.charge_s, made.truth.turning_point_s,
                                           made.truth.drop_s};
    for (std::size_t i = 0; i < s.size(); ++i) {
        const auto& found = result.milestones[static_cast<std::size_t>(kScored[i])];
        fmt::print(" {} {} is {}", kNames[i],
                   found ? fmt::format("{:.2f} ({} {:.1f})", static_cast<double>(found->at.ms) / 1000,
                                       name(found->why.by), from_milli(found->why.amount_milli))
                         : "-",
                   text(truth[i]));
    }
    fmt::print(" next {} rows {} step {}\n", text(made.truth.next_charge_s), made.file.rows.size(),
               made.file.rows[1].elapsed_ms);
}

MilestoneScores run(Awkward kind, int seeds, bool held, bool shown) {
    MilestoneScores scores;
    for (int i = 0; i < seeds; ++i) {
        const auto seed = static_cast<std::uint64_t>(2 * i + (held ? 2 : 1));
        const AwkwardFile made = awkward_file(kind, seed);
        const RerunResult result = rerun(made.file, {});
        MilestoneScores one;
        score(made.truth, result, one);
        if (shown) show(seed, made, result, one);
        add(scores, one);
    }
    return scores;
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    using namespace drumwatch;
    const int seeds = argc > 1 ? std::atoi(argv[1]) : 30;
    const bool held = argc > 2 && std::strcmp(argv[2], "held") == 0;
    const bool shown = argc > 3 && std::strcmp(argv[3], "show") == 0;
    MilestoneScores all;
    for (int kind = 0; kind < kAwkwardKinds; ++kind) {
        const MilestoneScores scores = run(static_cast<Awkward>(kind), seeds, held, shown);
        print(name(static_cast<Awkward>(kind)), scores);
        add(all, scores);
    }
    print("all", all);
}
