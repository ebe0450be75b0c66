// How well milestones and forecast do on roasts that they were not tuned on (crack_figures.hpp): sites with
// odd seeds are for tuning, even ones are held back. `bench_curve [SITES [BATCHES [tuning|held
// [SPREAD_C]]]]`, the last for sites only whose crack temperature scatters by at most so much from batch to
// batch.
#include <fmt/format.h>

#include <cstdlib>
#include <cstring>

#include "support/made_roasts/crack_figures.hpp"
#include "support/made_roasts/site.hpp"

namespace {

using namespace drumwatch;

void print(const CrackFigures& got) {
    fmt::print("{} batches\n", got.batches);
    fmt::print("steadiness: moves {:.2f} s a second (median batch), changes {:.1f} s in 10 s (95 %)\n",
               size_quantile(got.moved, 0.5), size_quantile(got.changed_s, 0.95));
    for (const MilestoneFigures& milestone : got.milestones)
        fmt::print("{:<14} median {:.2f} s, 95 % {:.2f} s, missed or more than 15 s off {}\n", milestone.name,
                   size_quantile(milestone.off_s, 0.5), size_quantile(milestone.off_s, 0.95),
                   milestone.missed);
    for (const LeadFigures& lead : got.leads)
        fmt::print(
            "{:>4.0f} s before: error {:.1f} s (floor {:.1f}, {:.3f} of it; plain {:.1f}), bias {:+.1f}, "
            "90 % {:.2f}, interval holds {:.1f} %, {:.2f} s wide, none {}\n",
            lead.before_s, mean_size(lead.error_s), mean_size(lead.floor_s), lead.of_floor(),
            mean_size(lead.plain_s), lead.bias_s(), size_quantile(lead.error_s, 0.9),
            100 * lead.covered_share(), lead.mean_width_s(), lead.none);
}

}  // namespace

int main(int argc, char** argv) {
    const int sites = argc > 1 ? std::atoi(argv[1]) : 20;
    const int batches = argc > 2 ? std::atoi(argv[2]) : 15;
    const bool held = argc > 3 && std::strcmp(argv[3], "held") == 0;
    CrackFigures figures;
    const double most_c = argc > 4 ? std::atof(argv[4]) : 9;
    for (int i = 0; i < sites; ++i) {
        const auto seed = static_cast<std::uint64_t>(2 * i + (held ? 2 : 1));
        if (made_site(seed).crack_spread_c <= most_c) measure_cracks(seed, batches, figures);
    }
    print(figures);
}
