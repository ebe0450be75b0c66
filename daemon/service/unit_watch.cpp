#include "service/unit_watch.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace drumwatch {
namespace {

constexpr std::int64_t kDeadAfter_ms = 1'000;  // as a bus
constexpr int kMissed = 2;

}  // namespace

UnitWatch::UnitWatch(const BusConfig& bus, const ChannelTable& channels) {
    for (const ChannelSource& source : bus.channels) {
        if (!source.modbus) continue;
        const std::uint8_t unit_id = source.modbus->unit_id;
        auto unit = std::find_if(units_.begin(), units_.end(),
                                 [&](const Unit& one) { return one.unit_id == unit_id; });
        if (unit == units_.end()) {
            unit = units_.insert(unit, Unit{});
            unit->unit_id = unit_id;
        }
        unit->channels.push_back(source.channel);
    }
    for (Unit& unit : units_) {
        std::string names;
        for (const std::uint8_t channel : unit.channels)
            names += (names.empty() ? "" : ", ") + channels.at(channel).name;
        unit.words = fmt::format("bus {}, unit {} ({})", bus.name, unit.unit_id, names);
    }
}

void UnitWatch::take(const PollOutcome& outcome) {
    if (outcome.link == Link::down) return;
    for (Unit& unit : units_) {
        LinkFault fault = LinkFault::none;
        bool answered = false;
        for (std::size_t i = 0; i < outcome.readings.size() && i < outcome.raws.size(); ++i) {
            const std::uint8_t channel = outcome.readings[i].channel;
            if (std::find(unit.channels.begin(), unit.channels.end(), channel) == unit.channels.end())
                continue;
            if (is_no_answer(outcome.raws[i].fault))
                fault = outcome.raws[i].fault;
            else
                answered = true;
        }
        if (answered) fault = LinkFault::none;
        unit.fault = fault;
        unit.missed = fault == LinkFault::none ? 0 : unit.missed + 1;
    }
}

std::vector<std::string> UnitWatch::judge(Tick now) {
    std::vector<std::string> news;
    for (Unit& unit : units_) {
        if (unit.missed == 0) {
            if (unit.dead) news.push_back(unit.words + " answers again");
            unit.since.reset();
            unit.dead = false;
            continue;
        }
        if (!unit.since) unit.since = now;
        if (unit.dead || unit.missed < kMissed || now - *unit.since < kDeadAfter_ms) continue;
        unit.dead = true;
        news.push_back(complaint(unit));
    }
    return news;
}

std::string UnitWatch::complaint(const Unit& unit) {
    return fmt::format("{}: {} {}", unit.words, sentence(unit.fault), look_first(unit.fault));
}

std::vector<std::string> UnitWatch::complaints() const {
    std::vector<std::string> sentences;
    for (const Unit& unit : units_)
        if (unit.dead) sentences.push_back(complaint(unit));
    return sentences;
}

}  // namespace drumwatch
