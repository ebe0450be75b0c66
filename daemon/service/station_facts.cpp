#include "service/station_facts.hpp"

#include <fmt/format.h>

#include "service/box_clock.hpp"

namespace drumwatch {

namespace {

std::uint16_t bean_buses(const Config& config) {
    const auto bean = find_role(config.channels, Role::bean);
    std::uint16_t bits = 0;
    for (std::size_t i = 0; i < config.buses.size(); ++i) {
        for (const ChannelSource& source : config.buses[i].channels) {
            if (bean && source.channel == *bean) bits = static_cast<std::uint16_t>(bits | 1u << i);
        }
    }
    return bits;
}

std::string limiter_sentence(const LimiterConfig& limiter) {
    if (!limiter.stated) return "No independent high-limit control is stated for this machine.";
    return fmt::format("Independent high-limit control at {}, {:.0f} °C.", limiter.place, limiter.setting_c);
}

}  // namespace

void label_now(Begin& begin) {
    const ClockReading now = read_clock();
    begin.wall = now.wall;
    begin.boot = now.boot;
    begin.boot_ms = now.boot_ms;
}

Begin make_begin(const Config& config, const RecordFound& found, const OfferedTarget* chosen,
                 const AlarmBookMemory& alarms) {
    Begin begin;
    begin.watch = found.next_watch;
    begin.build = DRUMWATCH_VERSION;
    begin.config_hash = config.hash;
    label_now(begin);
    begin.carried.alarms = alarms;
    begin.settings.tick_ms = config.tick_ms;
    begin.settings.channels = config.channels;
    begin.settings.alarms = config.alarms;
    begin.settings.bean_buses = bean_buses(config);
    begin.next_roast = found.next_roast;
    if (found.last_drop && begin.wall.unix_ms >= found.last_drop->unix_ms)
        begin.idle_ms = begin.wall.unix_ms - found.last_drop->unix_ms;
    if (chosen) {
        begin.target = chosen->target;
        begin.lessons = chosen->lessons;
    }
    return begin;
}

StationFacts station_facts(const Config& config, std::vector<std::string> buses) {
    StationFacts facts;
    facts.station = config.station;
    facts.machine = config.machine;
    facts.build = DRUMWATCH_VERSION;
    facts.channels = config.channels;
    facts.buses = std::move(buses);
    facts.tick_ms = config.tick_ms;
    facts.simulated = config.simulated.has_value();
    facts.speed = config.simulated ? config.simulated->speed : 1;
    facts.limiter = limiter_sentence(config.limiter);
    facts.site_card = config.site_card;
    facts.advice = config.advice;
    return facts;
}

std::string record_sentence(const RecorderStatus& status) {
    if (!status.writing) return status.complaint;
    return status.disk_low ? fmt::format("recording; the disk is nearly full ({} MB free)", status.free_mb)
                           : "recording";
}

}  // namespace drumwatch
