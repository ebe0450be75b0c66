// What the engine makes of probes that contradict each other: qualities, alarms and doubts, in stepped time.
#include <doctest/doctest.h>

#include <algorithm>

#include "engine/engine.hpp"

using namespace drumwatch;

namespace {

constexpr std::size_t kBean = 0, kExhaust = 1, kSpare = 2;

/// A machine that is warmed: exhaust ahead, bean and a second exhaust probe with it.
struct Warming {
    Engine engine;
    Tick now{0};
    double exhaust_c = 25, bean_c = 24, spare_c = 24;

    explicit Warming(bool twins = false) : engine(begin(twins)) {}
    static Begin begin(bool twins) {
        Begin begin;
        begin.settings.channels = {
            make_channel("bean", Unit::celsius), make_channel("exhaust", Unit::celsius),
            make_channel("stack", Unit::celsius), make_channel("ambient", Unit::celsius)};
        if (twins) begin.settings.channels[kSpare].twin = static_cast<std::uint8_t>(kExhaust);
        return begin;
    }
    const Snapshot& tick() {
        Frame frame;
        frame.tick = now;
        frame.channels = 4;
        const double values[] = {bean_c, exhaust_c, spare_c, 23};
        for (std::size_t i = 0; i < 4; ++i) frame.samples[i] = {*to_milli(values[i]), Quality::good, true};
        now = now + 250;
        return engine.step(frame);
    }
    const Snapshot& heat(double to_c, double bean_per_exhaust = 0.9) {
        while (exhaust_c < to_c) {
            exhaust_c += 0.1;
            bean_c += 0.1 * bean_per_exhaust;
            spare_c = exhaust_c;
            tick();
        }
        return engine.snapshot();
    }
    const Snapshot& stay(double seconds) {
        for (int i = 0; i < static_cast<int>(seconds * 4); ++i) tick();
        return engine.snapshot();
    }
    bool has(AlarmRule rule, AlarmState state) const {
        const auto& alarms = engine.snapshot().alarms;
        return std::any_of(alarms.begin(), alarms.end(),
                           [&](const auto& one) { return one.rule == rule && one.state == state; });
    }
};

}  // namespace

TEST_CASE(
    "a bean probe that is shorted beside a hot exhaust: named, alarmed, and no reason to trust a limit") {
    Warming warming;
    CHECK(warming.heat(230).channel[kBean].quality == Quality::good);
    warming.bean_c = 26;
    CHECK(warming.tick().channel[kBean].quality == Quality::suspect);
    CHECK(warming.stay(2).channel[kBean].quality == Quality::short_circuit);
    warming.stay(10);
    CHECK(warming.has(AlarmRule::bean_probe_fault, AlarmState::unacknowledged));
    CHECK(warming.has(AlarmRule::bean_high_high, AlarmState::suppressed));
    CHECK(!warming.engine.snapshot().roast);
    warming.bean_c = 205;
    CHECK(warming.stay(2).channel[kBean].quality == Quality::good);
}

TEST_CASE("a bean probe with its wires reversed is named while the machine is warmed") {
    Warming warming;
    const Snapshot& snapshot = warming.heat(80, -0.8);
    CHECK(snapshot.channel[kBean].quality == Quality::reversed);
    CHECK(snapshot.channel[kExhaust].quality == Quality::good);
    CHECK(!snapshot.roast);
}

TEST_CASE("an exhaust probe that rests while the bean probe moves is frozen") {
    Warming warming;
    warming.heat(150);
    for (int i = 0; i < 800; ++i) {
        warming.bean_c += 0.05;
        warming.tick();
    }
    CHECK(warming.engine.snapshot().channel[kExhaust].quality == Quality::frozen);
    CHECK(warming.engine.snapshot().channel[kBean].quality == Quality::good);
    warming.stay(10);
    CHECK(warming.has(AlarmRule::probe_fault, AlarmState::unacknowledged));
}

TEST_CASE("a noisy probe and one that is apart from its twin are used, doubted, and a low alarm") {
    Warming warming(true);
    warming.heat(150);
    warming.stay(60);
    SUBCASE("noisy") {
        for (int i = 0; i < 240; ++i) {
            warming.spare_c = 150 + (i % 20 == 3 ? 9 : 0);
            warming.tick();
        }
        CHECK(warming.engine.snapshot().channel[kSpare].doubt == ProbeDoubt::noisy);
    }
    SUBCASE("apart") {
        warming.spare_c = 157;
        CHECK(warming.stay(120).channel[kSpare].doubt == ProbeDoubt::apart_from_twin);
    }
    CHECK(warming.engine.snapshot().channel[kSpare].quality == Quality::good);
    CHECK(warming.engine.snapshot().channel[kExhaust].doubt == ProbeDoubt::none);
    warming.stay(10);
    CHECK(warming.has(AlarmRule::probe_fault, AlarmState::unacknowledged));
}
