// Live against refed, over seeded days with faults, gaps, stale stretches, commands, batches that overlap,
// cuts and restarts.
#include "watch/refeed.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/restless_day.hpp"
#include "watch/journal.hpp"
#include "watch/watch_file.hpp"

using namespace drumwatch;

namespace {

// Each day has three roasts.
#ifdef DRUMWATCH_SANITIZED
constexpr std::uint64_t kDays = 8;
#else
constexpr std::uint64_t kDays = 60;
#endif

/// Refed, and refed from its export: the same lines as live.
void check_again(const Written& watch) {
    const auto file = parse_watch_file(watch_file_text({watch.inputs, watch.began, watch.journal}));
    REQUIRE_MESSAGE(file.ok(), file.error());
    CHECK(file.value().began.unix_ms == watch.began.unix_ms);
    for (const RecordedWatch* inputs : {&watch.inputs, &file.value().watch}) {
        const auto again = journal_of(*inputs);
        REQUIRE(again.size() == watch.journal.size());
        for (std::size_t i = 0; i < again.size(); ++i) REQUIRE(again[i] == watch.journal[i]);
    }
    CHECK(file.value().journal == watch.journal);
}

}  // namespace

TEST_CASE("seeded days, cut and broken off, give the same journals live, refed and exported, byte for byte") {
    std::size_t lines = 0;
    std::size_t watches = 0;
    int overlaps = 0;
    int clock_steps = 0;
    for (std::uint64_t seed = 1; seed <= kDays; ++seed) {
        CAPTURE(seed);
        const Live day = restless_live(seed);
        for (const Written& watch : day.watches) {
            check_again(watch);
            lines += watch.journal.size();
        }
        watches += day.watches.size();
        overlaps += day.charged_while_cooling;
        clock_steps += day.clock_steps;
    }
    MESSAGE(kDays, " days: ", watches, " watches, ", lines, " lines, ", overlaps,
            " charges while the last batch cooled, ", clock_steps, " steps of the clock");
    CHECK(lines > kDays * 75);
    CHECK(watches > kDays * 4 / 3);
    CHECK(overlaps > static_cast<int>(kDays) / 2);
    CHECK(clock_steps > static_cast<int>(kDays));
}

TEST_CASE("a cut is not to be noticed: what is said of the next roast is the same with it and without") {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        CAPTURE(seed);
        std::vector<std::string> journals[2];
        for (const bool cut : {false, true}) {
            Live live(seed, Hands::idle);
            live.roast();
            if (cut) live.ask_for_a_cut();
            live.rest(181 + 10 * static_cast<double>(seed));
            live.roast();
            CHECK(live.watches.size() == (cut ? 2 : 1));
            for (const Written& watch : live.watches)
                journals[cut].insert(journals[cut].end(), watch.journal.begin(), watch.journal.end());
        }
        REQUIRE(journals[0].size() > 10);
        CHECK(journals[0] == journals[1]);
    }
}

TEST_CASE("watches are cut at quiet moments, and after four hours as soon as the drum is empty") {
    Live quiet(1, Hands::idle);
    quiet.rest(3 * 3600);
    CHECK(quiet.watches.size() == 2);
    CHECK(quiet.watches[1].inputs.begin.carried.first.ms == 2 * 3'600'000 + 250);
    CHECK(quiet.watches[1].inputs.begin.watch == 2);
    Live busy(2, Hands::idle);
    for (int i = 0; i < 25; ++i) {  // some 4.9 h of roasts with 200 s between them
        busy.roast();
        busy.rest(200);
    }
    REQUIRE(busy.watches.size() == 2);
    const Carried& carried = busy.watches[1].inputs.begin.carried;
    CHECK(carried.first.ms > 4 * 3'600'000);
    CHECK(carried.first.ms < 4 * 3'600'000 + 1'000'000);
    CHECK(carried.cooling);
    REQUIRE(carried.last_verdict);
    CHECK(carried.last_verdict->verdict.roast + 1 == busy.watches[1].inputs.begin.next_roast);
}

TEST_CASE("a watch with one reading changed does not give the same journal") {
    Live live(4);
    live.roast();
    RecordedWatch watch = live.watches[0].inputs;
    std::size_t changed = 0;
    for (Frame& frame : watch.frames) {
        if (frame.tick.ms < 60'000) continue;
        frame.samples[0].value_milli += 40'000;
        if (++changed == 30) break;
    }
    CHECK(journal_of(watch) != live.watches[0].journal);
}

TEST_CASE("what was told after the last frame waits in the engine for the next") {
    RecordedWatch watch;
    watch.begin.settings.channels = {bean_channel()};
    Frame frame;
    frame.channels = 1;
    frame.samples[0] = {200'000, Quality::good, true};
    watch.frames = {frame};
    Command charge;
    charge.kind = CommandKind::mark;
    charge.milestone = Milestone::charge;
    charge.tick = Tick{250};
    watch.commands = {charge};
    Engine engine = refeed(watch, [](const Snapshot&, const std::vector<Event>&) {});
    CHECK(engine.has_news());
    frame.tick = Tick{250};
    CHECK(engine.step(frame).roast);
}
