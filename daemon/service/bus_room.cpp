#include "service/bus_room.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>

namespace drumwatch {

namespace {
constexpr std::int64_t kSilentAfter_ms =
    1'000;                      // then the bus counts as silent; its alarm has a delay of its own
constexpr int kUnanswered = 2;  // ... if it was asked so often in vain: a box that stood still asked nobody
constexpr std::int64_t kHeartbeat_ms = 500;      // a step on a bus
constexpr std::int64_t kAskAgain_ms = 1'000;     // a coil write that was not confirmed
constexpr std::int64_t kFailedAfter_ms = 1'000;  // ... then its sounder counts as failed
constexpr std::int64_t kWriteAgain_ms = 10'000;  // a level that stays
constexpr std::int64_t kMargin_us = 3'000;
}  // namespace

BusRoom::BusRoom(const Config& config, LatestReadings& latest, Post post, Polled polled, Pressed pressed,
                 const BusWitness& witness)
    : latest_(latest), post_(std::move(post)), polled_(std::move(polled)), pressed_(std::move(pressed)) {
    const double speed = config.simulated && !config.simulated->stepped ? config.simulated->speed : 1;
    for (const BusConfig& bus : config.buses) {
        Bus& room = buses_.emplace_back();
        room.units = UnitWatch(bus, config.channels);
        const std::size_t index = buses_.size() - 1;
        BusHost::Witness polled_of_bus;
        ByteTap bytes_of_bus;
        if (witness.polled) polled_of_bus = std::bind_front(witness.polled, index);
        if (witness.bytes) bytes_of_bus = std::bind_front(witness.bytes, index);
        room.host = std::make_unique<BusHost>(bus, speed, std::move(polled_of_bus), std::move(bytes_of_bus));
        for (const ChannelSource& source : bus.channels) room.channels |= 1u << source.channel;
    }
    for (const SounderConfig& sounder : config.sounders) sounders_.emplace_back().where = sounder.coil;
    for (const ButtonConfig& button : config.buttons)
        buttons_.push_back({button.name, button.bus, button.input, std::nullopt, {}});
    heartbeat_.where = config.heartbeat;
}

void BusRoom::begin(Tick now, std::uint32_t told_silent) {
    for (std::size_t i = 0; i < buses_.size(); ++i) {
        Bus& bus = buses_[i];
        bus.silent = (told_silent >> i & 1U) != 0;
        bus.last_good = bus.silent ? now - kSilentAfter_ms : now;
        bus.unanswered = bus.silent ? kUnanswered : 0;
    }
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
        if (room.next_trip == 0) room.trips_us.fill(took_us);
        room.trips_us[room.next_trip++ % kTrips] = took_us;
    }
    room.units.take(outcome);
    for (const Reading& reading : outcome.readings) latest_.take(reading);
    take_inputs(bus, outcome);
    polled_(bus, outcome.machine_ms);
}

void BusRoom::take_inputs(std::size_t bus, const PollOutcome& outcome) {
    for (std::size_t i = 0; i < buttons_.size(); ++i) {
        Button& button = buttons_[i];
        if (button.bus != bus) continue;
        const auto told = std::find_if(outcome.inputs.begin(), outcome.inputs.end(),
                                       [&](const InputLevel& one) { return one.input == button.input; });
        const auto level = told == outcome.inputs.end() ? std::nullopt : told->on;
        button.complaint = told != outcome.inputs.end() && !level ? outcome.complaint : "";
        const bool pressed = button.level == false && level == true;
        button.level = level;
        if (pressed && pressed_) pressed_(i);
    }
}

/// The worst but one: a single hiccup moves nothing (the tick waits a little for a late answer), and an
/// answer that comes long before its tick is old when it is read.
std::int64_t BusRoom::lead_us(std::size_t bus) const {
    auto trips_us = buses_[bus].trips_us;
    std::nth_element(trips_us.begin(), trips_us.begin() + 1, trips_us.end(), std::greater<>());
    return trips_us[1] + kMargin_us;
}

std::vector<Observation> BusRoom::judge(Tick now) {
    std::vector<Observation> changes;
    silent_channels_ = 0;
    unit_news_.clear();
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
        for (std::string& news : bus.units.judge(now)) unit_news_.push_back(std::move(news));
    }
    judge_coils(now);
    return changes;
}

void BusRoom::judge_coils(Tick now) {
    for (Coil& coil : sounders_) {
        if (!coil.where) continue;
        const Bus& bus = buses_[coil.where->bus];
        const bool unconfirmed = coil.unconfirmed_since && now - *coil.unconfirmed_since >= kFailedAfter_ms;
        coil.fault.clear();
        if (!bus.silent && !unconfirmed) continue;
        const std::string of_bus = bus.host->counters().complaint;
        const std::string& why = bus.silent || coil.complaint.empty() ? of_bus : coil.complaint;
        coil.fault = why.empty() ? fmt::format("bus {} does not answer", bus.host->config().name) : why;
    }
}

void BusRoom::write(Coil& coil, bool on, Tick now) {
    if (!coil.where) return;
    const bool waits = coil.asked && *coil.asked == on && now - coil.asked_at < kAskAgain_ms;
    const bool stands = coil.written == on && now - coil.written_at < kWriteAgain_ms;
    if (stands || waits) return;
    coil.asked = on;
    coil.asked_at = now;
    if (!coil.unconfirmed_since) coil.unconfirmed_since = now;
    Coil* const which = &coil;
    BusHost* const host = buses_[coil.where->bus].host.get();
    host->request_coil(
        coil.where->address, on, [this, which, host, on, now, ask = ++coil.asks](bool written) {
            post_([which, on, now, ask, written,
                   complaint = written ? std::string() : host->counters().complaint] {
                const bool newest = which->asks == ask;
                if (written)
                    which->unconfirmed_since = newest ? std::nullopt : std::optional(which->asked_at);
                if (!newest) return;
                which->asked.reset();
                which->written = written ? std::optional<bool>(on) : std::nullopt;
                which->written_at = now;
                which->complaint = complaint;
            });
        });
}

void BusRoom::drive(Tick now, std::uint32_t sounders) {
    for (std::size_t i = 0; i < sounders_.size(); ++i) write(sounders_[i], (sounders >> i & 1U) != 0, now);
    write(heartbeat_, (now.ms / kHeartbeat_ms) % 2 != 0, now);
}

std::optional<bool> BusRoom::confirmed(std::size_t sounder) const {
    const Coil& coil = sounders_[sounder];
    return coil.asked ? std::nullopt : coil.written;
}

void BusRoom::stop() {
    const auto off = [this](const Coil& coil) {
        if (coil.where) buses_[coil.where->bus].host->request_coil(coil.where->address, false, [](bool) {});
    };
    for (const Coil& coil : sounders_) off(coil);
    off(heartbeat_);
    for (Bus& bus : buses_) bus.host->stop();
}

std::vector<std::string> BusRoom::complaints() const {
    std::vector<std::string> sentences;
    for (const Bus& bus : buses_) {
        if (!bus.silent) {
            for (std::string& sentence : bus.units.complaints()) sentences.push_back(std::move(sentence));
            continue;
        }
        const std::string& why = bus.host->counters().complaint;
        sentences.push_back(
            fmt::format("bus {}: {}", bus.host->config().name, why.empty() ? "no answer" : why));
    }
    for (const Button& button : buttons_) {
        if (!button.complaint.empty())
            sentences.push_back(fmt::format("button {}: {}", button.name, button.complaint));
    }
    return sentences;
}

std::vector<BusRoom::LinkState> BusRoom::links() const {
    std::vector<LinkState> links;
    for (const Bus& bus : buses_)
        links.push_back({bus.host->config().name, bus.silent, bus.host->counters(), bus.host->channels()});
    return links;
}

std::vector<std::string> BusRoom::names() const {
    std::vector<std::string> names;
    for (const Bus& bus : buses_) names.push_back(bus.host->config().name);
    return names;
}

}  // namespace drumwatch
