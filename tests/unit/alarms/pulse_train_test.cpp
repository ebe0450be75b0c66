// The expected edges are reckoned by hand from the lengths in alarms/pulse_train.hpp; those are a judgement
// without a source.
#include "alarms/pulse_train.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <vector>

using namespace drumwatch;

namespace {

constexpr SounderSignal kAll[] = {SounderSignal::prompt, SounderSignal::low,      SounderSignal::medium,
                                  SounderSignal::high,   SounderSignal::box_dead, SounderSignal::chirp};

/// The times at which a train changes, up to and without `until_ms`.
std::vector<std::int64_t> edges(SounderSignal signal, int voice, std::int64_t until_ms) {
    const PulseTrain train = pulse_train(signal, voice);
    std::vector<std::int64_t> times;
    for (auto at = next_edge(train, -1); at && *at < until_ms; at = next_edge(train, *at))
        times.push_back(*at);
    return times;
}

using Times = std::vector<std::int64_t>;

}  // namespace

TEST_CASE("pulse trains have the edges that they are written down with") {
    CHECK(edges(SounderSignal::high, 1, 3200) ==
          Times{0, 150, 250, 400, 500, 650, 900, 1050, 1150, 1300, 3000, 3150});
    CHECK(edges(SounderSignal::medium, 1, 10'100) == Times{0, 200, 400, 600, 800, 1000, 10'000});
    CHECK(edges(SounderSignal::low, 1, 60'000) == Times{0, 200, 400, 600});
    CHECK(edges(SounderSignal::prompt, 1, 60'000) == Times{0, 400});
    CHECK(edges(SounderSignal::box_dead, 1, 5'300) == Times{0, 600, 5'000});
    CHECK(edges(SounderSignal::chirp, 1, 60'000) == Times{0, 100});
    CHECK(edges(SounderSignal::off, 1, 60'000).empty());
    CHECK(round_ms(pulse_train(SounderSignal::high, 1)) == 1300);
    CHECK(round_ms(pulse_train(SounderSignal::high, 4)) == 1600);
    CHECK(round_ms(pulse_train(SounderSignal::off, 1)) == 0);
}

TEST_CASE("a voice widens the gap before the last group by a tenth of a second a step") {
    CHECK(edges(SounderSignal::high, 3, 3000) == Times{0, 150, 250, 400, 500, 650, 1100, 1250, 1350, 1500});
    CHECK(edges(SounderSignal::medium, 2, 10'000) == Times{0, 200, 400, 600, 900, 1100});
    CHECK(edges(SounderSignal::low, 4, 10'000) == Times{0, 200, 700, 900});
    CHECK(edges(SounderSignal::high, 0, 9000) == edges(SounderSignal::high, 1, 9000));
    CHECK(edges(SounderSignal::high, 9, 9000) == edges(SounderSignal::high, 4, 9000));
}

TEST_CASE("the level between two edges is what the edges say, for every signal and voice") {
    for (const SounderSignal signal : kAll) {
        for (int voice = 1; voice <= kVoices; ++voice) {
            const PulseTrain train = pulse_train(signal, voice);
            const Times times = edges(signal, voice, 21'000);
            CHECK_FALSE(sounds(train, -1));
            for (std::int64_t ms = 0; ms < 20'000; ++ms) {
                const auto passed = std::upper_bound(times.begin(), times.end(), ms) - times.begin();
                if (sounds(train, ms) != (passed % 2 == 1)) FAIL("at ", ms);
            }
        }
    }
}

TEST_CASE("signals and voices are told apart, and none is a continuous tone") {
    std::set<Times> seen;
    std::size_t trains = 0;
    for (const SounderSignal signal : kAll) {
        const bool has_voice =
            signal == SounderSignal::high || signal == SounderSignal::medium || signal == SounderSignal::low;
        for (int voice = 1; voice <= (has_voice ? kVoices : 1); ++voice) {
            const Times times = edges(signal, voice, 60'000);
            for (std::size_t i = 0; i + 1 < times.size(); ++i) {
                const std::int64_t length = times[i + 1] - times[i];
                CHECK(length >= 100);
                if (i % 2 == 0) CHECK(length <= 1000);
            }
            seen.insert(times);
            ++trains;
        }
    }
    CHECK(seen.size() == trains);
}

TEST_CASE(
    "the groups of the high signal stand apart: its wide gap is twice a narrow one and its pause twice "
    "that") {
    for (int voice = 1; voice <= kVoices; ++voice) {
        const Times times = edges(SounderSignal::high, voice, 3001);
        REQUIRE(times.size() == 11);
        const std::int64_t narrow = times[2] - times[1];
        const std::int64_t wide = times[6] - times[5];
        CHECK(wide >= 2 * narrow);
        CHECK(times[10] - times[9] >= 2 * wide);
    }
}

TEST_CASE("each pattern of the alarm book has its signal") {
    CHECK(signal_of(Pattern::off) == SounderSignal::off);
    CHECK(signal_of(Pattern::low) == SounderSignal::low);
    CHECK(signal_of(Pattern::medium) == SounderSignal::medium);
    CHECK(signal_of(Pattern::high) == SounderSignal::high);
}
