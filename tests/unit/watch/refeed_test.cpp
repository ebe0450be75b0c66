// Live against refed, over seeded roasts with faults, gaps, stale stretches, commands and batches that
// overlap.
#include "watch/refeed.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/random.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"
#include "watch/journal.hpp"
#include "watch/watch_text.hpp"

using namespace drumwatch;

namespace {

/// A live engine whose inputs are written down as the record would.
class Live {
  public:
    std::vector<std::string> journal;
    RecordedWatch written;

    explicit Live(std::uint64_t seed) : random_(seed) {
        Begin begin;
        begin.settings.channels = {bean_channel()};
        begin.settings.bean_buses = 1;
        begin.target = share(straight_target());
        begin.next_roast = 1 + seed;
        begin.lessons = {2, 196.5, 1.5};
        written.begin = parse_begin(begin_text(begin)).value();
        engine_.emplace(begin);
    }
    void roast() {
        CurveShape shape;
        shape.seed = random_.bits();
        shape.heat_c = 225 + 20 * random_.uniform();
        shape.drop_s = 500 + 200 * random_.uniform();
        shape.after_s = 40 + 60 * random_.uniform();
        for (const RoastRow& row : roast_file(shape).rows) tick(*row.values[0]);
    }

  private:
    bool chance(double per_tick) { return random_.uniform() < per_tick; }

    void tick(Milli bean_milli) {
        if (fault_ticks_ == 0 && chance(0.003)) begin_fault();
        if (chance(0.01)) tell();
        if (chance(0.002)) observe();
        if (chance(0.0005)) now_ = now_ + 60'000 * static_cast<std::int64_t>(random_.uniform() * 3);  // a gap
        Frame frame;
        frame.tick = now_;
        frame.channels = 1;
        const bool faulty = fault_ticks_ > 0;
        if (faulty) --fault_ticks_;
        frame.samples[0] = {faulty && !has_value(fault_) ? 0 : bean_milli, faulty ? fault_ : Quality::good,
                            !faulty || fault_ != Quality::stale};
        written.frames.push_back(frame);
        engine_->step(frame);
        for (const Event& event : engine_->take_events())
            journal.push_back(journal_line(journal_entry(event)));
        now_ = now_ + 250;
    }
    void begin_fault() {
        static constexpr std::array kFaults{Quality::open_circuit, Quality::stale, Quality::bus_silent};
        fault_ = kFaults[random_.bits() % kFaults.size()];
        fault_ticks_ = 1 + static_cast<int>(random_.uniform() * 100);
    }
    void tell() {
        Command command;
        command.tick = now_;
        command.kind = static_cast<CommandKind>(random_.bits() %
                                                (static_cast<std::uint64_t>(CommandKind::made_move) + 1));
        if (chance(0.01)) command.kind = CommandKind::abort_roast;
        command.milestone = static_cast<Milestone>(random_.bits() % kMilestones);
        command.at = now_ - static_cast<std::int64_t>(random_.uniform() * 30'000);
        command.occurrence = random_.bits() % 6;
        command.level_milli = static_cast<Milli>(random_.bits() % 100) * 1000;
        if (command.kind == CommandKind::choose_target && chance(0.5))
            command.target = share(straight_target());
        const Refusal refusal = engine_->apply(command);
        written.commands.push_back(parse_command(command_text(command, refusal)).value());
    }
    void observe() {
        const Observation seen{now_, static_cast<Health>(random_.bits() % 3), 0, chance(0.5)};
        engine_->observe(seen);
        written.observations.push_back(
            parse_observation(now_, std::string(name(seen.health)), seen.index, seen.bad).value());
    }

    TestRandom random_;
    std::optional<Engine> engine_;
    Tick now_{0};
    int fault_ticks_ = 0;
    Quality fault_ = Quality::stale;
};

std::vector<std::string> journal_of(const RecordedWatch& watch) {
    std::vector<std::string> lines;
    refeed(watch, [&](const Snapshot&, const std::vector<Event>& events) {
        for (const Event& event : events) lines.push_back(journal_line(journal_entry(event)));
    });
    return lines;
}

}  // namespace

TEST_CASE("sixty seeded watches give the same journal live and refed, byte for byte") {
    std::size_t lines = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        CAPTURE(seed);
        Live live(seed);
        live.roast();
        live.roast();
        const auto again = journal_of(live.written);
        REQUIRE(again.size() == live.journal.size());
        for (std::size_t i = 0; i < again.size(); ++i) REQUIRE(again[i] == live.journal[i]);
        lines += again.size();
    }
    CHECK(lines > 60 * 50);
}

TEST_CASE("a watch with one reading changed does not give the same journal") {
    Live live(4);
    live.roast();
    RecordedWatch watch = live.written;
    std::size_t changed = 0;
    for (Frame& frame : watch.frames) {
        if (frame.tick.ms < 60'000) continue;
        frame.samples[0].value_milli += 40'000;
        if (++changed == 30) break;
    }
    CHECK(journal_of(watch) != live.journal);
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
