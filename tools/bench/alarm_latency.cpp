// How long an alarm takes from the register on the wire to the sounder's coil, while everything else is at
// its worst: the real daemon at 4 Hz on a Modbus TCP device of this program, 16 pages on the live stream and
// a slow one, and a disk that does not answer for 50 trials at a time, then for the length of one.
// `bench_alarm_latency [TRIALS [ON_DELAY_MS [DEVICE_MS [SEED]]]]`: how often (1000), the rule's on-delay (0;
// it is subtracted), and how long the device takes to answer (0). Each trial lets the bean temperature cross
// high-high at a random moment, waits for the coil, cools down and acknowledges over HTTP. Some 0.6 s each.
//
// Bounds, for 99 of 100 trials. From the reply that carries the value to the coil: 15 ms. From the register's
// change to the coil, without the on-delay: one poll (what the device takes), one tick and 5 ms. Exit status
// 1 where they do not hold.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <deque>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>
#include <vector>

#include "live_crowd.hpp"
#include "support/random.hpp"
#include "support/raw_client.hpp"
#include "support/timed_station.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;
using Milliseconds = std::chrono::duration<double, std::milli>;

constexpr auto kHang = 20s;
constexpr int kTick_ms = TimedStation::kTick_ms;
constexpr int kPages = 16;
constexpr int kStalledTrials = 50;
constexpr std::size_t kUnanswered = 30;  ///< acknowledgements that wait for the disk
constexpr double kReplyBound_ms = 15;
constexpr double kMoreThanTick_ms = 5;

struct Order {
    int trials = 1000;
    int on_delay_ms = 0;
    int device_ms = 0;
    std::uint64_t seed = 1;
};

[[noreturn]] void give_up(const std::string& why) {
    fmt::print(stderr, "{}\n", why);
    std::exit(2);
}

std::string load() {
    std::ifstream file("/proc/loadavg");
    std::string one, five;
    file >> one >> five;
    return fmt::format("{} over one minute, {} over five, on {} processors", one, five,
                       std::thread::hardware_concurrency());
}

/// A tablet that acknowledges without waiting for the answers, which wait for the disk.
class Hands {
  public:
    explicit Hands(std::uint16_t port) : port_(port) {}

    /// Until nothing sounds and nothing waits to be acknowledged.
    void quieten() {
        for (const auto began = std::chrono::steady_clock::now();
             std::chrono::steady_clock::now() - began < kHang;) {
            if (quiet()) return;
            std::this_thread::sleep_for(20ms);
        }
        give_up("the alarm was never over");
    }

  private:
    bool quiet() {
        const RawResponse answer = RawClient(port_, "127.0.0.150").get("/api/status");
        if (answer.status != 200) return false;
        const auto status = nlohmann::json::parse(answer.body);
        bool hot = false;
        for (const auto& alarm : status["alarms"]) {
            const std::string state = alarm["state"];
            hot = hot || alarm["rule"] == "bean_high_high";
            if (state.find("unacknowledged") != std::string::npos) acknowledge(alarm["id"]);
        }
        return !hot && status["sounder"]["pattern"] == "off";
    }

    void acknowledge(std::uint64_t id) {
        if (id == newest_) return;
        newest_ = id;
        const std::string body = fmt::format(R"({{"client_id":"hands-{}"}})", id);
        RawClient& line = waiting_.emplace_back(port_, fmt::format("127.0.0.{}", 100 + id % 50));
        line.send_post(fmt::format("/api/alarms/{}/acknowledge", id), body);
        if (waiting_.size() <= kUnanswered) return;
        const int status = waiting_.front().read_response().status;
        // 504: acted on, but the record did not say so in time.
        if (status != 200 && status != 202 && status != 504)
            give_up(fmt::format("an acknowledgement was answered {}", status));
        waiting_.pop_front();
    }

    std::uint16_t port_;
    std::uint64_t newest_ = 0;
    std::deque<RawClient> waiting_;
};

struct Took {
    std::vector<double> from_change;
    std::vector<double> from_reply;
    int after_another_poll = 0;
};

void one_trial(TimedSlave& slave, const Order& order, Took& took) {
    slave.set_bean(TimedStation::kHot);
    const auto coil = slave.await_coil(true, kHang);
    if (!coil) give_up("no coil was written");
    const TimedSlave::Change change = slave.change();
    const double delay_ms = order.on_delay_ms;
    took.from_change.push_back(Milliseconds(coil->at - change.made).count() - delay_ms);
    took.from_reply.push_back(Milliseconds(coil->at - change.carried->at).count() - delay_ms);
    // Those that the on-delay takes by itself are none.
    took.after_another_poll += coil->polls - change.carried->polls > order.on_delay_ms / kTick_ms;
    slave.set_bean(TimedStation::kCool);
    // The alarm is on the page by then, so that nobody takes the moment before it for the one after.
    if (!slave.await_polls(0, kHang)) give_up("no poll came");
}

double share(std::vector<double> values, double of) {
    std::sort(values.begin(), values.end());
    const auto index = static_cast<std::size_t>(of * static_cast<double>(values.size()));
    return values[std::min(index, values.size() - 1)];
}

bool print(const char* what, const std::vector<double>& values, double bound_ms) {
    const double p99 = share(values, 0.99);
    fmt::print("{}: p50 {:.1f}, p95 {:.1f}, p99 {:.1f}, worst {:.1f} ms; bound at p99 {:.0f} ms: {}\n", what,
               share(values, 0.5), share(values, 0.95), p99, share(values, 1), bound_ms,
               p99 <= bound_ms ? "holds" : "DOES NOT HOLD");
    return p99 <= bound_ms;
}

int measure(const Order& order) {
    TimedStationPlan plan;
    plan.daemon = DRUMWATCH_DAEMON;
    plan.stalled_disk_calls = STALLED_DISK_CALLS;
    plan.on_delay_ms = order.on_delay_ms;
    plan.answers_after = std::chrono::milliseconds(order.device_ms);
    TimedStation station(plan);
    const std::string load_before = load();
    Took took;
    LiveCrowd crowd(station.port(), kPages);
    Hands hands(station.port());
    TestRandom random(order.seed);
    const auto began = std::chrono::steady_clock::now();
    for (int i = 0; i < order.trials; ++i) {
        if (i % kStalledTrials < 2) station.stall_disk(i % kStalledTrials == 1);
        hands.quieten();
        std::this_thread::sleep_for(Milliseconds(random.uniform(0, kTick_ms)));
        one_trial(station.slave(), order, took);
    }
    const double lasted_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    fmt::print("{} trials in {:.0f} s, seed {}, tick {} ms, on-delay {} ms, device answers after {} ms\n",
               order.trials, lasted_s, order.seed, kTick_ms, order.on_delay_ms, order.device_ms);
    fmt::print("load: {} before; {} after\n", load_before, load());
    fmt::print("{} pages read {:.1f} kB/s together; the server let {} lines go\n", kPages,
               static_cast<double>(crowd.bytes_read()) / lasted_s / 1000, crowd.let_go());
    const bool replies = print("reply to coil", took.from_reply, kReplyBound_ms);
    const bool changes =
        print("change to coil", took.from_change, order.device_ms + kTick_ms + kMoreThanTick_ms);
    fmt::print("coil written after another poll: {} of {}\n", took.after_another_poll, order.trials);
    if (station.stop() != 0) give_up("no clean stop: " + station.daemon().errors());
    return replies && changes ? 0 : 1;
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    drumwatch::Order order;
    if (argc > 1) order.trials = std::atoi(argv[1]);
    if (argc > 2) order.on_delay_ms = std::atoi(argv[2]);
    if (argc > 3) order.device_ms = std::atoi(argv[3]);
    if (argc > 4) order.seed = std::strtoull(argv[4], nullptr, 10);
    return drumwatch::measure(order);
}
