#include "drivers/host.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

#include "drivers/links/write_list.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr double kFirstPauseMs = 250;
constexpr double kLongestPauseMs = 1500;
constexpr double kShortestPauseMs = 50;

struct CoilJob {
    AllowedCoil coil;
    bool on = false;
    BusHost::CoilDone done;
};

/// Doubles with each failure.
class Pause {
  public:
    explicit Pause(double speed) : speed_(speed) {}
    void reset() { simulated_ms_ = kFirstPauseMs; }
    milliseconds next() {
        const double real_ms = std::max(kShortestPauseMs, simulated_ms_ / speed_);
        simulated_ms_ = std::min(kLongestPauseMs, simulated_ms_ * 2);
        return milliseconds(static_cast<std::int64_t>(real_ms));
    }

  private:
    double speed_;
    double simulated_ms_ = kFirstPauseMs;
};

/// A driver must not throw; should one do so all the same, the bus is down and the daemon goes on.
template <typename Call, typename Failed>
auto guarded(Call call, Failed failed) -> decltype(call()) {
    try {
        return call();
    } catch (const std::exception& e) {
        return failed(std::string("fault in the driver: ") + e.what());
    } catch (...) {
        return failed(std::string("fault in the driver"));
    }
}

}  // namespace

struct BusHost::Impl {
    Impl(BusConfig config, double speed, Witness told, ByteTap tap)
        : bus(std::move(config)),
          witness(std::move(told)),
          allowed(bus.writable_coils),
          driver(make_driver(bus, speed, std::move(tap))),
          pause(speed),
          channels(bus.channels.size()) {
        for (std::size_t i = 0; i < channels.size(); ++i) channels[i].channel = bus.channels[i].channel;
    }

    void run();
    bool open_link();
    void serve();
    void wait_out_pause();
    void refuse_coils();
    void write_coils();
    bool write_coil(const CoilJob& job);
    bool poll_once(const PollDone& done);
    void note_poll(const PollOutcome& outcome, std::int64_t took_us);
    void note_reading(const Reading& reading, const RawValue& raw, Clock::time_point now);

    const BusConfig bus;
    const Witness witness;
    const WriteList allowed;
    const std::unique_ptr<Driver> driver;
    Pause pause;                 ///< bus thread only
    bool opened_before = false;  ///< bus thread only

    mutable std::mutex mutex;
    std::condition_variable wake;
    // Under the mutex:
    bool stopping = false;
    bool open = false;     ///< requests are taken
    bool polling = false;  ///< a poll waits or runs
    PollDone wanted;       ///< the poll that waits
    std::vector<CoilJob> coils;
    std::vector<CoilDone> refused;  ///< still to be told false, on the bus thread
    BusCounters counters;
    TripWindow trips;
    std::vector<ChannelCounters> channels;

    std::thread thread;  ///< last: it uses all of the above
};

void BusHost::Impl::run() {
    for (;;) {
        if (open_link()) serve();
        {
            const std::lock_guard lock(mutex);
            open = false;
            counters.up = false;
        }
        driver->close();
        wait_out_pause();
        const std::lock_guard lock(mutex);
        if (stopping) break;
    }
    {
        const std::lock_guard lock(mutex);
        for (CoilJob& job : std::exchange(coils, {})) refused.push_back(std::move(job.done));
    }
    refuse_coils();
}

bool BusHost::Impl::open_link() {
    const Result<Done> opened = guarded([&] { return driver->open(); },
                                        [](std::string why) { return Result<Done>(Error{std::move(why)}); });
    const std::lock_guard lock(mutex);
    open = opened.ok();
    if (opened && opened_before) ++counters.reconnects;
    if (!opened) {
        counters.complaint = opened.error();
        ++counters.faults[static_cast<std::size_t>(LinkFault::not_open)];
    }
    opened_before = opened_before || opened.ok();
    return opened.ok();
}

/// Coils and polls as they are wanted, until the link is down or stop() was called.
void BusHost::Impl::serve() {
    for (;;) {
        PollDone poll;
        bool last = false;
        {
            std::unique_lock lock(mutex);
            wake.wait(lock, [&] { return stopping || wanted || !coils.empty() || !refused.empty(); });
            poll = std::exchange(wanted, nullptr);
            last = stopping;
            if (last) open = false;
        }
        refuse_coils();
        write_coils();
        if (poll && !poll_once(poll)) return;
        if (last) return;
    }
}

void BusHost::Impl::wait_out_pause() {
    const auto end = Clock::now() + pause.next();
    for (;;) {
        refuse_coils();
        std::unique_lock lock(mutex);
        const bool woken = wake.wait_until(lock, end, [&] { return stopping || !refused.empty(); });
        if (stopping || !woken) return;
    }
}

void BusHost::Impl::refuse_coils() {
    std::vector<CoilDone> list;
    {
        const std::lock_guard lock(mutex);
        list = std::exchange(refused, {});
    }
    for (const CoilDone& done : list)
        if (done) done(false);
}

void BusHost::Impl::write_coils() {
    std::vector<CoilJob> jobs;
    {
        const std::lock_guard lock(mutex);
        jobs = std::exchange(coils, {});
    }
    bool lost = false;
    for (const CoilJob& job : jobs) {
        const bool written = !lost && write_coil(job);
        lost = lost || !written;  // the others would only wait for the same dead device
        if (job.done) job.done(written);
    }
}

bool BusHost::Impl::write_coil(const CoilJob& job) {
    const Result<Done> result = guarded([&] { return driver->write_coil(job.coil, job.on); },
                                        [](std::string why) { return Result<Done>(Error{std::move(why)}); });
    const std::lock_guard lock(mutex);
    ++(result ? counters.coil_writes : counters.coil_refusals);
    if (!result) counters.complaint = result.error();
    return result.ok();
}

/// False when the link is down.
bool BusHost::Impl::poll_once(const PollDone& done) {
    const auto began = Clock::now();
    PollOutcome outcome = guarded([&] { return driver->poll(); },
                                  [](std::string why) {
                                      return PollOutcome{Link::down, {}, std::nullopt, std::move(why)};
                                  });
    const auto took = std::chrono::duration_cast<std::chrono::microseconds>(Clock::now() - began);
    const bool up = outcome.link == Link::up;
    if (up || outcome.talks) pause.reset();
    note_poll(outcome, took.count());
    if (witness) witness(outcome);
    done(std::move(outcome));
    return up;
}

void BusHost::Impl::note_poll(const PollOutcome& outcome, std::int64_t took_us) {
    const std::lock_guard lock(mutex);
    polling = false;
    counters.up = outcome.link == Link::up;
    open = open && counters.up;
    ++counters.polls;
    if (!counters.up) ++counters.failures;
    for (std::size_t i = 0; i < kLinkFaults; ++i) counters.faults[i] += outcome.faults[i];
    const auto now = Clock::now();
    for (std::size_t i = 0; i < outcome.readings.size(); ++i)
        note_reading(outcome.readings[i], i < outcome.raws.size() ? outcome.raws[i] : RawValue{}, now);
    if (counters.up) trips.take(took_us);
    counters.last_round_trip_us = took_us;
    counters.worst_round_trip_us = std::max(counters.worst_round_trip_us, took_us);
    counters.complaint = outcome.complaint;
}

void BusHost::Impl::note_reading(const Reading& reading, const RawValue& raw, Clock::time_point now) {
    if (!is_good(reading.quality)) ++counters.bad_replies;
    const auto at = std::find_if(channels.begin(), channels.end(), [&](const ChannelCounters& channel) {
        return channel.channel == reading.channel;
    });
    if (at == channels.end()) return;
    ++at->readings;
    if (raw.fault != LinkFault::none) ++at->faults[static_cast<std::size_t>(raw.fault)];
    at->newest = reading;
    at->raw = raw;
    at->at = now;
}

BusHost::BusHost(BusConfig bus, double speed, Witness witness, ByteTap tap)
    : impl_(std::make_unique<Impl>(std::move(bus), speed, std::move(witness), std::move(tap))) {
    impl_->thread = std::thread([impl = impl_.get()] { impl->run(); });
}

BusHost::~BusHost() { stop(); }

bool BusHost::request_poll(PollDone done) {
    {
        const std::lock_guard lock(impl_->mutex);
        if (impl_->stopping || !impl_->open || impl_->polling) return false;
        impl_->polling = true;
        impl_->wanted = std::move(done);
    }
    impl_->wake.notify_one();
    return true;
}

void BusHost::request_coil(std::uint16_t address, bool on, CoilDone done) {
    {
        const std::lock_guard lock(impl_->mutex);
        const std::optional<AllowedCoil> coil = impl_->allowed.find(address);
        auto& coils = impl_->coils;
        const auto waiting = std::find_if(coils.begin(), coils.end(),
                                          [&](const CoilJob& job) { return job.coil.address() == address; });
        if (!coil) ++impl_->counters.coil_refusals;
        if (!coil || impl_->stopping) {
            impl_->refused.push_back(std::move(done));
        } else if (waiting != coils.end()) {
            impl_->refused.push_back(std::exchange(waiting->done, std::move(done)));
            waiting->on = on;
        } else {
            coils.push_back({*coil, on, std::move(done)});
        }
    }
    impl_->wake.notify_one();
}

void BusHost::stop() {
    {
        const std::lock_guard lock(impl_->mutex);
        impl_->stopping = true;
    }
    impl_->wake.notify_one();
    if (impl_->thread.joinable()) impl_->thread.join();
}

BusCounters BusHost::counters() const {
    const std::lock_guard lock(impl_->mutex);
    BusCounters counters = impl_->counters;
    counters.median_round_trip_us = impl_->trips.median_us();
    return counters;
}

std::vector<ChannelCounters> BusHost::channels() const {
    const std::lock_guard lock(impl_->mutex);
    return impl_->channels;
}

const BusConfig& BusHost::config() const { return impl_->bus; }

}  // namespace drumwatch
