#include "probes/probe_look.hpp"

#include <algorithm>

#include "drivers/driver.hpp"
#include "drivers/host.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

/// A counter needs two readings, a cold junction one of its own channel: a third that is not good will stay.
constexpr std::uint64_t kEnoughReadings = 3;

bool has_failed(const BusCounters& counters) {
    return !counters.up &&
           (counters.failures > 0 || counters.faults[static_cast<std::size_t>(LinkFault::not_open)] > 0);
}

std::int64_t ms_since(Clock::time_point then, Clock::time_point now) {
    return std::chrono::duration_cast<milliseconds>(now - then).count();
}

}  // namespace

bool ProbeView::all_good() const {
    return std::all_of(lines.begin(), lines.end(),
                       [](const ProbeLine& line) { return is_good(line.quality); });
}

struct ProbeLook::Impl {
    explicit Impl(const Config& of) : config(of) {
        speed = config.simulated && !config.simulated->stepped ? config.simulated->speed : 1;
        for (BusConfig bus : config.buses) {
            bus.writable_coils.clear();
            buses.push_back({std::make_unique<BusHost>(std::move(bus), speed), {}, {}});
        }
    }

    struct Bus {
        std::unique_ptr<BusHost> host;
        FaultCounts seen{};
        std::array<Clock::time_point, kLinkFaults> rose_at{};
    };

    ProbeBus look_at(Bus& bus, Clock::time_point now) const;
    void add_lines(std::size_t bus, Clock::time_point now, ProbeView& view) const;
    Quality quality_of(const ChannelCounters& seen, const BusCounters& bus, std::int64_t age_ms) const;

    Config config;
    double speed = 1;
    std::vector<Bus> buses;
};

ProbeBus ProbeLook::Impl::look_at(Bus& bus, Clock::time_point now) const {
    ProbeBus seen{bus.host->config().name, place_of(bus.host->config()), bus.host->counters(), {}};
    for (std::size_t i = 0; i < kLinkFaults; ++i) {
        if (seen.counters.faults[i] != bus.seen[i]) bus.rose_at[i] = now;
        bus.seen[i] = seen.counters.faults[i];
        seen.standing[i] = bus.seen[i] != 0 && ms_since(bus.rose_at[i], now) < kStands_ms ? 1 : 0;
    }
    return seen;
}

/// What the station's ticks would make of it.
Quality ProbeLook::Impl::quality_of(const ChannelCounters& seen, const BusCounters& bus,
                                    std::int64_t age_ms) const {
    const Channel& channel = config.channels[seen.channel];
    if (has_failed(bus)) return Quality::bus_silent;
    if (seen.readings == 0) return Quality::never_read;
    if (static_cast<double>(age_ms) * speed > static_cast<double>(channel.max_age_ms)) return Quality::stale;
    const bool outside =
        seen.newest.value_milli < channel.span_low_milli || seen.newest.value_milli > channel.span_high_milli;
    return is_good(seen.newest.quality) && outside ? Quality::out_of_span : seen.newest.quality;
}

void ProbeLook::Impl::add_lines(std::size_t bus, Clock::time_point now, ProbeView& view) const {
    const BusHost& host = *buses[bus].host;
    const std::vector<ChannelCounters> all = host.channels();
    for (std::size_t i = 0; i < all.size(); ++i) {
        const ChannelCounters& seen = all[i];
        ProbeLine& line = view.lines[seen.channel];
        line.name = config.channels[seen.channel].name;
        line.unit = config.channels[seen.channel].unit;
        line.bus = bus;
        line.raw = seen.raw;
        line.readings = seen.readings;
        line.faults = seen.faults;
        line.value_milli = seen.newest.value_milli;
        if (seen.readings > 0) line.age_ms = ms_since(seen.at, now);
        line.quality = quality_of(seen, view.buses[bus].counters, line.age_ms.value_or(0));
        if (has_value(line.quality))
            line.tolerances = tolerances_of(host.config().channels[i].sensor, from_milli(line.value_milli));
    }
}

ProbeLook::ProbeLook(const Config& config) : impl_(std::make_unique<Impl>(config)) {}
ProbeLook::~ProbeLook() = default;

void ProbeLook::poll() {
    for (const Impl::Bus& bus : impl_->buses) bus.host->request_poll([](const PollOutcome&) {});
}

bool ProbeLook::settled() const {
    return std::all_of(impl_->buses.begin(), impl_->buses.end(), [](const Impl::Bus& bus) {
        if (has_failed(bus.host->counters())) return true;
        const auto channels = bus.host->channels();
        return std::all_of(channels.begin(), channels.end(), [](const ChannelCounters& channel) {
            return channel.readings >= kEnoughReadings ||
                   (channel.readings > 0 && is_good(channel.newest.quality));
        });
    });
}

milliseconds ProbeLook::longest_settling() const {
    std::int64_t longest = 0;
    for (const BusConfig& bus : impl_->config.buses) {
        std::int64_t one = bus.timeout_ms;
        for (const BusUnit& unit : bus.units) one = std::max(one, unit.timeout_ms.value_or(0));
        longest = std::max(longest, one * static_cast<std::int64_t>(bus.channels.size() + 1));
    }
    return milliseconds(2'000 + static_cast<std::int64_t>(kEnoughReadings) * longest);
}

ProbeView ProbeLook::view() {
    const auto now = Clock::now();
    ProbeView view;
    view.lines.resize(impl_->config.channels.size());
    for (Impl::Bus& bus : impl_->buses) view.buses.push_back(impl_->look_at(bus, now));
    for (std::size_t i = 0; i < impl_->buses.size(); ++i) impl_->add_lines(i, now, view);
    return view;
}

}  // namespace drumwatch
