// How well moves, verdict, end temperature, drift alarm and fan agree with the truth on made roasts
// (tests/support/made_roasts/kept_figures.hpp). Sites with odd seeds are for tuning, even ones are held back.
// `bench_verdict [SITES [BATCHES [tuning|held [ROWS.csv]]]]`; ROWS.csv: what the deviation did next.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>

#include "support/made_roasts/kept_figures.hpp"

namespace drumwatch {
namespace {

double share(int part, int of) { return of ? 100.0 * part / of : 0; }

double quantile(std::vector<double> values, double at) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    const auto index = static_cast<std::size_t>(at * static_cast<double>(values.size()));
    return values[std::min(index, values.size() - 1)];
}

void print_moves(const KeptFigures& got) {
    fmt::print(
        "moves: {} planned, {:.2f} % judged right within 2 s; {} extra, {:.2f} % listed; {} unclear ones "
        "left out\n",
        got.moves, share(got.moves_right, got.moves), got.extras, share(got.extras_right, got.extras),
        got.unclear_moves);
    for (std::size_t truth = 0; truth < 7; ++truth) {
        for (std::size_t said = 0; said < 7; ++said) {
            const int count = got.move_table[truth][said];
            if (count == 0) continue;
            fmt::print("  {} judged {}: {}\n", words(static_cast<MoveJudgement>(truth)),
                       words(static_cast<MoveJudgement>(said)), count);
        }
    }
}

void print_verdicts(const KeptFigures& got) {
    fmt::print("verdict: {:.2f} % right; {} too close to a limit; {} without a reason\n",
               100 * got.right_share(), got.close, got.without_reason);
    for (std::size_t truth = 0; truth < 4; ++truth) {
        fmt::print("  truly {:<9}", name(static_cast<Disposition>(truth)));
        for (std::size_t said = 0; said < 4; ++said)
            fmt::print(" {} {}", name(static_cast<Disposition>(said)), got.verdict_table[truth][said]);
        fmt::print("\n");
    }
    fmt::print("  readings missing for 20 to 120 s: {}, unjudged or hold {}\n", got.gaps, got.gaps_right);
    fmt::print("end temperature off: median {:.2f}, 95 % {:.2f} degrees\n", quantile(got.end_off_c, 0.5),
               quantile(got.end_off_c, 0.95));
}

void print_fan(const char* when, const FanFigures& fan) {
    fmt::print("fan {}: holds {:.1f} % of {} (above {:.1f} %), {:.2f} degrees wide\n", when,
               100 * fan.held_share(), fan.points, share(fan.above, fan.points),
               fan.width_c / std::max(fan.points, 1));
}

void print(const KeptFigures& got) {
    fmt::print("{} batches, {} without charge or drop\n", got.batches, got.not_seen);
    print_moves(got);
    print_verdicts(got);
    fmt::print(
        "drift alarm: in {:.1f} % of {} clear batches, in {:.1f} % of {} far outside; {:.2f} alarms a "
        "clear batch\n",
        share(got.clear_drift, got.clear), got.clear, share(got.far_drift, got.far), got.far,
        got.clear ? static_cast<double>(got.clear_alarms) / got.clear : 0);
    print_fan("30 s on", got.fan_30);
    print_fan("60 s on", got.fan_60);
    fmt::print(
        "leaving the corridor: {} times, said before {:.1f} %, {:.0f} s before in the mean; {} prompts, "
        "{:.1f} % in vain\n",
        got.left, share(got.left_said, got.left), got.said_ahead_s / std::max(got.left_said, 1), got.prompts,
        share(got.prompts_vain, got.prompts));
}

void write_rows(const char* path, const std::vector<FutureRow>& rows) {
    std::ofstream out(path);
    out << "site,t_s,deviation,rise_deviation,corridor,target_rise,ahead,burner_more,airflow_more,in_15,in_"
           "30,"
           "in_45,in_60,in_75,in_90\n";
    for (const FutureRow& row : rows)
        out << fmt::format(
            "{},{:.2f},{:.4f},{:.4f},{:.3f},{:.3f},{:.2f},{:.1f},{:.1f},{:.4f},{:.4f},{:.4f},{:.4f},{:.4f},"
            "{:.4f}\n",
            row.site, row.t_s, row.deviation_c, row.rise_deviation_per_min, row.corridor_c,
            row.target_rise_per_min, row.ahead_s, row.burner_more, row.airflow_more, row.later_c[0],
            row.later_c[1], row.later_c[2], row.later_c[3], row.later_c[4], row.later_c[5]);
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    const int sites = argc > 1 ? std::atoi(argv[1]) : 20;
    const int batches = argc > 2 ? std::atoi(argv[2]) : 12;
    const bool held = argc > 3 && std::strcmp(argv[3], "held") == 0;
    drumwatch::KeptFigures figures;
    std::vector<drumwatch::FutureRow> rows;
    for (int i = 0; i < sites; ++i)
        drumwatch::measure_site(static_cast<std::uint64_t>(2 * i + (held ? 2 : 1)), batches, figures,
                                argc > 4 ? &rows : nullptr);
    drumwatch::print(figures);
    if (argc > 4) drumwatch::write_rows(argv[4], rows);
}
