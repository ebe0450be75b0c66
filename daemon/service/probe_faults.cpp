#include "service/probe_faults.hpp"

#include <fmt/format.h>

namespace drumwatch {
namespace {

void count(ProbeFaultCounts& counts, ProbeFault fault) {
    if (fault != ProbeFault::none) ++counts[static_cast<std::size_t>(fault)];
}

}  // namespace

std::vector<std::string> ProbeFaultBook::take(const Snapshot& snapshot, const ChannelTable& channels) {
    std::vector<std::string> lines;
    for (std::size_t i = 0; i < seen_.size(); ++i) {
        Seen& seen = seen_[i];
        const ChannelView& view = snapshot.channel[i];
        if (view.quality != seen.quality) count(seen.counts, fault_of(view.quality));
        seen.quality = view.quality;
        if (view.doubt == seen.doubt) continue;
        const ProbeFault fault = fault_of(view.doubt);
        count(seen.counts, fault);
        lines.push_back(fault == ProbeFault::none
                            ? fmt::format("{}: no longer {}", channels[i].name,
                                          seen.doubt == ProbeDoubt::noisy ? "noisy" : "apart from its twin")
                            : fmt::format("{}: {} Its readings are used all the same. {}", channels[i].name,
                                          sentence(fault), look_first(fault)));
        seen.doubt = view.doubt;
    }
    return lines;
}

}  // namespace drumwatch
