// What one tick of the engine costs: a made roast of about 12 minutes, 4 Hz, eight channels, with target,
// moves, forecast and alarms, from frames that lie in memory; against a floor of the same arithmetic with
// nothing round it (tick_floor.hpp). `bench_ticks [REPEATS]`; under callgrind give it 1.
//
// Allocations are counted from the first minute after the charge on; there should be none but at the drop.
// Exit 1 where there are more, or where the engine takes more than 14 times the floor.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <new>
#include <vector>

#include "engine/engine.hpp"
#include "support/made_roasts/batch.hpp"
#include "tick_floor.hpp"

namespace {
std::size_t allocations = 0;
}

void* operator new(std::size_t size) {
    ++allocations;
    if (void* room = std::malloc(size)) return room;
    throw std::bad_alloc();
}
void operator delete(void* room) noexcept { std::free(room); }
void operator delete(void* room, std::size_t) noexcept { std::free(room); }

namespace drumwatch {
namespace {

constexpr std::int64_t kTick_ms = 250;
constexpr std::size_t kAllocations = 1;  // the verdict's reasons
constexpr double kFloors = 14;           // a third of it is usual: nothing for a busy machine to upset

/// Bean, exhaust, burner and airflow of the made roast; inlet, drum, tray and ambient beside them.
std::vector<Channel> channels() {
    std::vector<Channel> all;
    for (const char* name : {"bean", "exhaust", "burner", "airflow", "inlet", "drum", "tray", "ambient"}) {
        const std::string_view word = name;
        all.push_back(
            make_channel(name, word == "burner" || word == "airflow" ? Unit::percent : Unit::celsius));
    }
    return all;
}

struct Material {
    Begin begin;
    std::vector<Frame> frames;
    Tick charge;
};

Material material() {
    const Site site = made_site(7);
    BatchPlan plan = plan_of(site, 7, 3);
    plan.step_s = 0.25;
    plan.jitter_s = 0;
    const MadeBatch made = made_batch(site, plan);
    Material all;
    all.begin.settings.tick_ms = kTick_ms;
    all.begin.settings.channels = channels();
    // This machine is charged hotter than most: its site would have set a higher limit.
    all.begin.settings.alarms[AlarmRule::bean_high_high].limit = 400;
    all.begin.target = std::make_shared<const Target>(site.target);
    all.charge = Tick{std::llround(made.truth.charge_s * 1000)};
    Tick now{0};
    for (const RoastRow& row : made.file.rows) {
        Frame frame;
        frame.tick = now;
        frame.channels = 8;
        for (std::size_t i = 0; i < 8; ++i) {
            const auto& value = i < 4 ? row.values[i] : row.values[1];
            if (value) frame.samples[i] = {*value, Quality::good, true};
        }
        all.frames.push_back(frame);
        now = now + kTick_ms;
    }
    return all;
}

double seconds_of(std::chrono::steady_clock::duration duration) {
    return std::chrono::duration<double>(duration).count();
}

struct Run {
    double seconds = 0;
    std::size_t allocations = 0;
    std::size_t events = 0;
};

Run engine_run(const Material& material) {
    Run run;
    Engine engine(material.begin);
    const auto began = std::chrono::steady_clock::now();
    for (const Frame& frame : material.frames) {
        const std::size_t before = allocations;
        engine.step(frame);
        if (frame.tick - material.charge > 60'000) run.allocations += allocations - before;
        if (engine.has_news()) run.events += engine.take_events().size();
    }
    run.seconds = seconds_of(std::chrono::steady_clock::now() - began);
    return run;
}

double floor_run(const Material& material, double& seconds) {
    const TargetCurve curve(material.begin.target);
    const auto began = std::chrono::steady_clock::now();
    const double sum = bare_arithmetic(material.frames, material.charge, curve);
    seconds = seconds_of(std::chrono::steady_clock::now() - began);
    return sum;
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    using namespace drumwatch;
    const int repeats = argc > 1 ? std::atoi(argv[1]) : 50;
    const Material all = material();
    double best_s = 1e9;
    double best_floor_s = 1e9;
    double sum = 0;
    Run last;
    for (int i = 0; i < repeats; ++i) {
        last = engine_run(all);
        best_s = std::min(best_s, last.seconds);
        double floor_s = 0;
        sum += floor_run(all, floor_s);
        best_floor_s = std::min(best_floor_s, floor_s);
    }
    const double roast_s = seconds_between(all.frames.front().tick, all.frames.back().tick);
    fmt::print(
        "{} ticks of {} ms, {} events: engine {:.2f} ms ({:.0f} times real time), floor {:.3f} ms, ratio "
        "{:.1f}\n",
        all.frames.size(), kTick_ms, last.events, best_s * 1000, roast_s / best_s, best_floor_s * 1000,
        best_s / best_floor_s);
    fmt::print("allocations after the first minute: {}\n", last.allocations);
    const bool kept = last.allocations <= kAllocations && best_s <= kFloors * best_floor_s && sum != 0.5;
    if (!kept)
        fmt::print("more than {} allocation or {} times the floor: a tick costs too much\n", kAllocations,
                   kFloors);
    return kept ? 0 : 1;
}
