#include "service/pacer.hpp"

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>

#include <algorithm>
#include <chrono>
#include <deque>

namespace drumwatch {

namespace {

using std::chrono::microseconds;
using std::chrono::milliseconds;

constexpr std::int64_t kLongestStep_ms = 60'000;  // of a machine's time between two answers

class ClockPacer final : public Pacer {
  public:
    ClockPacer(boost::asio::io_context& core, const StationClock& clock, std::int64_t tick_ms,
               std::size_t buses, Tick first, PacerCalls calls)
        : clock_(clock), tick_ms_(tick_ms), calls_(std::move(calls)), tick_timer_(core), next_(first) {
        for (std::size_t i = 0; i < buses; ++i) buses_.emplace_back(core);
    }

    void start() override {
        begin_ms_ = clock_.steady_ms() - next_.ms;
        for (std::size_t i = 0; i < buses_.size(); ++i) poll(i);
        arm();
    }
    void stop() override {
        stopped_ = true;
        tick_timer_.cancel();
        for (Bus& bus : buses_) bus.timer.cancel();
    }
    void polled(std::size_t bus, bool keeps_time, std::optional<std::uint32_t> machine_ms) override {
        if (stopped_) return;
        buses_[bus].asked = false;
        if (keeps_time && machine_ms) take_time(*machine_ms);
        if (waits_ && !somebody_asked()) make_ticks();
    }
    std::optional<std::int64_t> machine_elapsed_ms() const override {
        if (!machine_first_) return std::nullopt;
        return static_cast<std::int64_t>(machine_newest_) - static_cast<std::int64_t>(*machine_first_) +
               machine_offset_ms_;
    }

  private:
    struct Bus {
        explicit Bus(boost::asio::io_context& core) : timer(core) {}
        boost::asio::steady_timer timer;
        bool asked = false;  ///< for the next tick, and has not answered yet
    };

    void take_time(std::uint32_t machine_ms) {
        if (!machine_first_) {
            machine_first_ = machine_ms;
            machine_offset_ms_ = clock_.steady_ms() - begin_ms_;
        }
        machine_newest_ = machine_ms;
    }
    void poll(std::size_t bus) {
        buses_[bus].asked = true;
        calls_.poll(bus);
    }
    bool somebody_asked() const {
        return std::any_of(buses_.begin(), buses_.end(), [](const Bus& bus) { return bus.asked; });
    }
    void arm() {
        const microseconds wait = clock_.until(begin_ms_ + next_.ms);
        tick_timer_.expires_after(wait);
        tick_timer_.async_wait([this](boost::system::error_code error) {
            if (!error && !stopped_) due();
        });
        for (std::size_t i = 0; i < buses_.size(); ++i) {
            buses_[i].timer.expires_after(std::max(wait - microseconds(calls_.lead_us(i)), microseconds(0)));
            buses_[i].timer.async_wait([this, i](boost::system::error_code error) {
                if (!error && !stopped_) poll(i);
            });
        }
    }
    void due() {
        if (!somebody_asked()) return make_ticks();
        waits_ = true;
        const microseconds quarter(
            static_cast<std::int64_t>(static_cast<double>(tick_ms_) * 250 / clock_.speed()));
        tick_timer_.expires_after(std::min(kGrace, quarter));
        tick_timer_.async_wait([this](boost::system::error_code error) {
            if (!error && !stopped_ && waits_) make_ticks();
        });
    }
    void make_ticks() {
        waits_ = false;
        const std::int64_t now_ms = clock_.steady_ms() - begin_ms_;
        for (; next_.ms <= now_ms; next_ = next_ + tick_ms_) calls_.tick(next_);
        arm();
    }

    const StationClock& clock_;
    std::int64_t tick_ms_;
    PacerCalls calls_;
    boost::asio::steady_timer tick_timer_;
    std::deque<Bus> buses_;
    std::int64_t begin_ms_ = 0;
    Tick next_;
    bool waits_ = false;  ///< the tick is due, and a poll for it is late
    bool stopped_ = false;
    std::optional<std::uint32_t> machine_first_;
    std::uint32_t machine_newest_ = 0;
    std::int64_t machine_offset_ms_ = 0;
};

class SteppedPacer final : public Pacer {
  public:
    SteppedPacer(boost::asio::io_context& core, std::int64_t tick_ms, std::size_t buses, Tick first,
                 PacerCalls calls)
        : tick_ms_(tick_ms), buses_(buses), calls_(std::move(calls)), retry_(core), next_(first) {}

    void start() override { begin_round(); }
    void stop() override {
        stopped_ = true;
        retry_.cancel();
    }
    void polled(std::size_t, bool keeps_time, std::optional<std::uint32_t> machine_ms) override {
        if (stopped_) return;
        if (keeps_time) round_ms_ = machine_ms;
        if (--waiting_ > 0) return;
        if (!round_ms_) return try_again();
        const std::int64_t now_ms = elapsed_ms(*round_ms_);
        for (; next_.ms <= now_ms; next_ = next_ + tick_ms_) calls_.tick(next_);
        begin_round();
    }
    std::optional<std::int64_t> machine_elapsed_ms() const override { return std::nullopt; }

  private:
    void begin_round() {
        round_ms_.reset();
        waiting_ = buses_;
        for (std::size_t i = 0; i < buses_; ++i) calls_.poll(i);
    }
    /// Since the first answer. A machine that was started anew, or whose time leaps, goes on from the next
    /// tick.
    std::int64_t elapsed_ms(std::uint32_t machine_ms) {
        const auto machine = static_cast<std::int64_t>(machine_ms);
        const bool leaps = !first_ || machine < newest_ || machine - newest_ > kLongestStep_ms;
        if (leaps) first_ = machine - next_.ms;
        newest_ = machine;
        return machine - *first_;
    }
    /// Without an answer the machine's time stands still; this is real time.
    void try_again() {
        retry_.expires_after(milliseconds(20));
        retry_.async_wait([this](boost::system::error_code error) {
            if (!error && !stopped_) begin_round();
        });
    }

    std::int64_t tick_ms_;
    std::size_t buses_;
    PacerCalls calls_;
    boost::asio::steady_timer retry_;
    std::size_t waiting_ = 0;
    std::optional<std::uint32_t> round_ms_;
    std::optional<std::int64_t> first_;
    std::int64_t newest_ = 0;
    Tick next_;
    bool stopped_ = false;
};

}  // namespace

std::unique_ptr<Pacer> make_clock_pacer(boost::asio::io_context& core, const StationClock& clock,
                                        std::int64_t tick_ms, std::size_t buses, Tick first,
                                        PacerCalls calls) {
    return std::make_unique<ClockPacer>(core, clock, tick_ms, buses, first, std::move(calls));
}

std::unique_ptr<Pacer> make_stepped_pacer(boost::asio::io_context& core, std::int64_t tick_ms,
                                          std::size_t buses, Tick first, PacerCalls calls) {
    return std::make_unique<SteppedPacer>(core, tick_ms, buses, first, std::move(calls));
}

}  // namespace drumwatch
