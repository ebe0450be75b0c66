#include "drivers/links/line_outcome.hpp"

#include <fmt/core.h>

#include "drivers/links/text_line.hpp"

namespace drumwatch {

PollOutcome outcome_of_line(const BusConfig& bus, std::string_view line) {
    PollOutcome outcome;
    outcome.link = Link::up;
    outcome.readings.reserve(bus.channels.size());
    outcome.raws.reserve(bus.channels.size());
    const TextLine opened = open_line(bus, line);
    if (opened.fault != LinkFault::none) {
        outcome.count(opened.fault);
        outcome.complaint = fmt::format("{}: {}", place_of(bus), sentence(opened.fault));
    }
    for (const ChannelSource& channel : bus.channels) {
        const TextValue value = read_text(channel, bus, opened);
        outcome.readings.push_back(value.reading);
        outcome.raws.push_back(raw_of(value));
        if (opened.fault == LinkFault::none && value.fault != LinkFault::none) outcome.count(value.fault);
    }
    return outcome;
}

}  // namespace drumwatch
