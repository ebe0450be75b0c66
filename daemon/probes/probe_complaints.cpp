#include <fmt/format.h>

#include <algorithm>

#include "core/probe_fault.hpp"
#include "core/words.hpp"
#include "probes/probe_look.hpp"

namespace drumwatch {
namespace {

/// Channels of one bus that have the same fault.
std::string channels_with(const ProbeView& view, std::size_t bus, LinkFault fault) {
    std::string names;
    for (const ProbeLine& line : view.lines) {
        if (line.bus != bus || line.raw.fault != fault || line.readings == 0) continue;
        names += (names.empty() ? "" : ", ") + line.name;
    }
    return names;
}

/// A fault of the line that no channel of it tells.
void add_of_bus(const ProbeView& view, std::size_t at, std::vector<ProbeComplaint>& list) {
    const ProbeBus& bus = view.buses[at];
    bool told = false;
    for (std::size_t i = 1; i < kLinkFaults; ++i) {
        const auto fault = static_cast<LinkFault>(i);
        const bool of_channels = bus.counters.up && !channels_with(view, at, fault).empty();
        if (bus.standing[i] == 0 || of_channels) continue;
        const std::string text = bus.counters.complaint.empty() || told
                                     ? std::string(sentence(fault))
                                     : fmt::format("{} {}.", sentence(fault), bus.counters.complaint);
        list.push_back({"bus " + bus.name, fault, text, std::string(look_first(fault))});
        told = true;
    }
    if (!told && !bus.counters.up && !bus.counters.complaint.empty())
        list.push_back({"bus " + bus.name, LinkFault::none, bus.counters.complaint + ".", ""});
}

/// Of a bus that answers: by fault, and what a channel has without a fault of the link.
void add_of_channels(const ProbeView& view, std::size_t at, std::vector<ProbeComplaint>& list) {
    const ProbeBus& bus = view.buses[at];
    if (!bus.counters.up) return;
    bool told = false;
    for (std::size_t i = 1; i < kLinkFaults; ++i) {
        const auto fault = static_cast<LinkFault>(i);
        const std::string who = channels_with(view, at, fault);
        if (who.empty()) continue;
        const std::string more = told || bus.counters.complaint.empty() ? "" : " " + bus.counters.complaint;
        list.push_back({who, fault, std::string(sentence(fault)) + more, std::string(look_first(fault))});
        told = true;
    }
    for (const ProbeLine& line : view.lines) {
        if (line.bus != at || is_good(line.quality) || line.raw.fault != LinkFault::none) continue;
        const ProbeFault fault = fault_of(line.quality);
        const bool of_probe = fault != ProbeFault::none;
        list.push_back({line.name, LinkFault::none,
                        of_probe ? std::string(sentence(fault)) : fmt::format("{}.", words(line.quality)),
                        std::string(look_first(fault))});
    }
}

}  // namespace

std::vector<ProbeComplaint> complaints_of(const ProbeView& view) {
    std::vector<ProbeComplaint> list;
    for (std::size_t i = 0; i < view.buses.size(); ++i) {
        add_of_bus(view, i, list);
        add_of_channels(view, i, list);
    }
    return list;
}

}  // namespace drumwatch
