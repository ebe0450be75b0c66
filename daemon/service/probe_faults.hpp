// How often each fault began at each channel, since the start, as the engine judged it; what the log says of
// doubts, of which the engine tells no event. Thread: core.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "core/channel.hpp"
#include "core/probe_fault.hpp"
#include "core/snapshot.hpp"

namespace drumwatch {

/// By its number.
using ProbeFaultCounts = std::array<std::uint32_t, kProbeFaults>;

class ProbeFaultBook {
  public:
    explicit ProbeFaultBook(std::size_t channels) : seen_(channels) {}
    /// Every snapshot, in its order. Gives a sentence for each doubt that began or ended.
    std::vector<std::string> take(const Snapshot& snapshot, const ChannelTable& channels);
    const ProbeFaultCounts& counts(std::size_t channel) const { return seen_.at(channel).counts; }

  private:
    struct Seen {
        Quality quality = Quality::never_read;
        ProbeDoubt doubt = ProbeDoubt::none;
        ProbeFaultCounts counts{};
    };
    std::vector<Seen> seen_;
};

}  // namespace drumwatch
