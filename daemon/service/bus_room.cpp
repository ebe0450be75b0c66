#include "service/bus_room.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace drumwatch {

namespace {
constexpr std::int64_t kSilentAfter_ms =
    1'000;                      // then the bus counts as silent; its alarm has a delay of its own
constexpr int kUnanswered = 2;  // ... if it was asked so often in vain: a box that stood still asked nobody
constexpr std::int64_t kHeartbeat_ms = 500;   // a step on a bus
constexpr std::int64_t kAskAgain_ms = 1'000;  // a coil write that was not confirmed
constexpr std::int64_t kMargin_us = 4'000;
}  // namespace

BusRoom::BusRoom(const Config& config, LatestReadings& latest, Post post, Polled polled)
    : latest_(latest), post_(std::move(post)), polled_(std::move(polled)) {
    const double speed = config.simulated && !config.simulated->stepped ? config.simulated->speed : 1;
    for (const BusConfig& bus : config.buses) {
        Bus& room = buses_.emplace_back();
        room.host = std::make_unique<BusHost>(bus, speed);
        for (const ChannelSource& source : bus.channels) room.channels |= 1u << source.channel;
    }
    sounder_.where = config.sounder;
    heartbeat_.where = config.heartbeat;
}

void BusRoom::begin(Tick now) {
    for (Bus& bus : buses_) bus.last_good = now;
}

void BusRoom::poll_all() {
    for (std::size_t i = 0; i < buses_.size(); ++i) poll(i);
}

void BusRoom::poll(std::size_t bus) {
    ++buses_[bus].unanswered;
    const bool begun = buses_[bus].host->request_poll([this, bus](PollOutcome outcome) {
        post_([this, bus, outcome = std::move(outcome)] { take(bus, outcome); });
    });
    if (!begun) post_([this, bus] { polled_(bus, std::nullopt); });
}

void BusRoom::take(std::size_t bus, const PollOutcome& outcome) {
    Bus& room = buses_[bus];
    if (outcome.link == Link::up) {
        room.answered = true;
        const std::int64_t took_us = room.host->counters().last_round_trip_us;
        room.worst_us = std::max(took_us, room.worst_us * 15 / 16);
    }
    for (const Reading& reading : outcome.readings) latest_.take(reading);
    polled_(bus, outcome.machine_ms);
}

std::int64_t BusRoom::lead_us() const {
    std::int64_t worst = 0;
    for (const Bus& bus : buses_) worst = std::max(worst, bus.worst_us);
    return worst + worst / 4 + kMargin_us;
}

std::vector<Observation> BusRoom::judge(Tick now) {
    std::vector<Observation> changes;
    silent_channels_ = 0;
    for (std::size_t i = 0; i < buses_.size(); ++i) {
        Bus& bus = buses_[i];
        if (bus.answered) {
            bus.last_good = now;
            bus.unanswered = 0;
        }
        bus.answered = false;
        const bool silent = now - bus.last_good >= kSilentAfter_ms && bus.unanswered >= kUnanswered;
        if (silent != bus.silent)
            changes.push_back({now, Health::bus_silent, static_cast<std::uint8_t>(i), silent});
        bus.silent = silent;
        if (silent) silent_channels_ |= bus.channels;
    }
    return changes;
}

void BusRoom::write(Coil& coil, bool on, Tick now) {
    if (!coil.where) return;
    const bool waits = coil.asked && *coil.asked == on && now - coil.asked_at < kAskAgain_ms;
    if (coil.written == on || waits) return;
    coil.asked = on;
    coil.asked_at = now;
    Coil* const which = &coil;
    buses_[coil.where->bus].host->request_coil(coil.where->address, on, [this, which, on](bool written) {
        post_([which, on, written] {
            which->asked.reset();
            which->written = written ? std::optional<bool>(on) : std::nullopt;
        });
    });
}

void BusRoom::drive(Tick now, bool sounder_on) {
    write(sounder_, sounder_on, now);
    write(heartbeat_, (now.ms / kHeartbeat_ms) % 2 != 0, now);
}

void BusRoom::stop() {
    for (Coil* coil : {&sounder_, &heartbeat_}) {
        if (coil->where)
            buses_[coil->where->bus].host->request_coil(coil->where->address, false, [](bool) {});
    }
    for (Bus& bus : buses_) bus.host->stop();
}

std::vector<std::string> BusRoom::complaints() const {
    std::vector<std::string> sentences;
    for (const Bus& bus : buses_) {
        if (!bus.silent) continue;
        const std::string& why = bus.host->counters().complaint;
        sentences.push_back(
            fmt::format("bus {}: {}", bus.host->config().name, why.empty() ? "no answer" : why));
    }
    return sentences;
}

std::vector<std::string> BusRoom::names() const {
    std::vector<std::string> names;
    for (const Bus& bus : buses_) names.push_back(bus.host->config().name);
    return names;
}

}  // namespace drumwatch
