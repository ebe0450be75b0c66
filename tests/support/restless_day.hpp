// A day at an invented station, live: an engine whose inputs are written down as the record would, cut into
// watches, broken off and gone on with. With restless hands, faults, gaps and commands come at random. The
// same for a seed.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/frame_text.hpp"
#include "support/random.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"
#include "watch/frame_back.hpp"
#include "watch/journal.hpp"
#include "watch/refeed.hpp"
#include "watch/watch_cutter.hpp"
#include "watch/watch_text.hpp"

namespace drumwatch {

inline std::vector<std::string> journal_of(const RecordedWatch& watch) {
    std::vector<std::string> lines;
    refeed(watch, [&](const Snapshot&, const std::vector<Event>& events) {
        for (const Event& event : events) lines.push_back(journal_line(journal_entry(event)));
    });
    return lines;
}

/// One watch: what was said live, and what was written down as the record would.
struct Written {
    std::vector<std::string> journal;
    RecordedWatch inputs;
    WallTime began;  ///< the label, as it stands at the end
};

enum class Hands {
    restless,
    idle
};  ///< commands, faults, gaps and steps of the box's health at random, or none

/// A live engine whose watches are written down and cut.
class Live {
  public:
    std::vector<Written> watches;
    int charged_while_cooling = 0;
    int clock_steps = 0;

    explicit Live(std::uint64_t seed, Hands hands = Hands::restless)
        : random_(seed), restless_(hands == Hands::restless) {
        Begin begin;
        begin.settings.channels = {bean_channel()};
        begin.settings.bean_buses = 1;
        begin.target = share(straight_target());
        begin.next_roast = 1 + seed;
        begin.lessons = {2, 196.5, 1.5};
        open(begin);
    }
    void roast() {
        CurveShape shape;
        shape.seed = random_.bits();
        shape.heat_c = 225 + 20 * random_.uniform();
        shape.drop_s = 500 + 200 * random_.uniform();
        shape.after_s = 40 + 60 * random_.uniform();
        for (const RoastRow& row : roast_file(shape).rows) tick(*row.values[0]);
    }
    /// The emptied drum comes back to 195 °C.
    void rest(double s) {
        double bean_c = 120;
        for (double t = 0; t < s; t += 0.25) {
            bean_c += (195 - bean_c) * 0.25 / 60;
            tick(to_milli(std::round(bean_c * 10) / 10).value());
        }
    }
    void ask_for_a_cut() { cutter_.ask(); }
    void power_cut() {
        RecordedWatch& inputs = watches.back().inputs;
        engine_ = refeed(inputs, [](const Snapshot&, const std::vector<Event>&) {});
        now_ = inputs.frames.back().tick + 250;
        const bool known = chance(0.5);
        if (known) now_ = now_ + 250 * static_cast<std::int64_t>(random_.uniform() * 400);
        if (!known) observe({now_, Health::gap_unknown, 0, true});
    }

  private:
    bool chance(double per_tick) { return random_.uniform() < per_tick; }

    void open(Begin begin) {
        begin.wall = {wall_ms_};
        begin = parse_begin(begin_text(begin)).value();
        watches.push_back({{}, {begin, {}, {}, {}}, {wall_ms_ - now_.ms}});
        engine_.emplace(begin);
    }
    void tick(Milli bean_milli) {
        if (restless_) disturb();
        Frame frame;
        frame.tick = now_;
        frame.channels = 1;
        const bool faulty = fault_ticks_ > 0;
        if (faulty) --fault_ticks_;
        frame.samples[0] = {faulty && !has_value(fault_) ? 0 : bean_milli, faulty ? fault_ : Quality::good,
                            !faulty || fault_ != Quality::stale};
        watches.back().inputs.frames.push_back(parse_frame(frame_text(frame)).value());
        const bool drum_was_empty = !engine_->snapshot().roast;
        const Snapshot& snapshot = engine_->step(frame);
        if (drum_was_empty && snapshot.roast && snapshot.cooling) ++charged_while_cooling;
        for (const Event& event : engine_->take_events())
            watches.back().journal.push_back(journal_line(journal_entry(event)));
        now_ = now_ + 250;
        cutter_.add(frame);
        const Begin& begin = watches.back().inputs.begin;
        if (cutter_.due(*engine_, begin)) open(cutter_.next(begin, *engine_, now_));
    }
    void disturb() {
        if (fault_ticks_ == 0 && chance(0.003)) begin_fault();
        if (chance(0.01)) tell();
        if (chance(0.002)) observe({now_, static_cast<Health>(random_.bits() % 4), 0, chance(0.5)});
        if (chance(0.0005)) now_ = now_ + 60'000 * static_cast<std::int64_t>(random_.uniform() * 3);  // a gap
        if (chance(0.0002)) power_cut();
        if (chance(0.0005)) set_clock();
    }
    /// Somebody, or a time server, sets the wall clock: to a day in 1970 or to one of now. What is labelled
    /// anew stands outside of what goes into the engine, which must not notice.
    void set_clock() {
        ++clock_steps;
        wall_ms_ = chance(0.5) ? 86'400'000
                               : 1'780'000'000'000 + static_cast<std::int64_t>(random_.bits() % 1'000'000);
        watches.back().began = {wall_ms_ - now_.ms};
        observe({now_, Health::clock_unsynchronised, 0, wall_ms_ < 1'000'000'000'000});
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
        command.was = command.at;
        command.occurrence = random_.bits() % 6;
        command.level_milli = static_cast<Milli>(random_.bits() % 100) * 1000;
        if (command.kind == CommandKind::made_move && command.level_milli % 4'000 == 0)
            command.kind = CommandKind::retime_move;
        if (command.kind == CommandKind::choose_target && chance(0.5))
            command.target = share(straight_target());
        const Refusal refusal = engine_->apply(command);
        const std::string text = command_text(command, refusal);
        if (parse_refusal(text) != refusal) throw std::logic_error("a refusal was not written down");
        watches.back().inputs.commands.push_back(parse_command(text).value());
    }
    void observe(const Observation& seen) {
        engine_->observe(seen);
        watches.back().inputs.observations.push_back(
            parse_observation(now_, std::string(name(seen.health)), seen.index, seen.bad).value());
    }

    TestRandom random_;
    bool restless_;
    std::optional<Engine> engine_;
    WatchCutter cutter_;
    Tick now_{0};
    std::int64_t wall_ms_ = 1'780'000'000'000;
    int fault_ticks_ = 0;
    Quality fault_ = Quality::stale;
};

/// Three roasts: a cut after the first, the third charged while the second cools, and a power cut after it.
inline Live restless_live(std::uint64_t seed) {
    Live live(seed);
    live.roast();
    live.ask_for_a_cut();
    live.rest(240);
    live.roast();
    live.rest(20);
    live.roast();
    live.power_cut();
    live.rest(60);
    return live;
}
inline std::vector<Written> restless_day(std::uint64_t seed) { return restless_live(seed).watches; }

}  // namespace drumwatch
