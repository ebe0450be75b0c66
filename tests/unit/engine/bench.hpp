// The engine as a feeder drives it: frames of an invented roast (support/roast_curve.hpp), commands,
// observations.
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "core/words.hpp"
#include "engine/engine.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"

namespace drumwatch {

/// A target that is the true curve itself.
inline TargetPtr own_target(const CurveShape& shape, std::vector<PlannedMove> moves = {}) {
    Target target = straight_target();
    target.points.clear();
    for (const CurvePoint& point : true_curve(shape)) {
        const bool whole = std::fabs(point.t_s - std::round(point.t_s)) < 1e-6;
        if (point.t_s >= 0 && point.t_s <= shape.drop_s && whole)
            target.points.push_back({point.t_s, point.bean_c});
    }
    target.milestones = {};
    target.drop = Trigger{TriggerKind::at_s, shape.drop_s};
    target.moves = std::move(moves);
    return share(target);
}

inline Channel burner_channel() {
    Channel channel;
    channel.name = "burner";
    channel.role = Role::burner;
    channel.unit = Unit::percent;
    return channel;
}

class Bench {
  public:
    CurveShape shape;
    RoastFile file;
    std::vector<Event> events;
    std::size_t next = 0;
    std::optional<Milli> burner_pct;  ///< nothing: no such register answers, moves are tapped in
    Engine engine;

    explicit Bench(const CurveShape& curve = {}, TargetPtr target = nullptr)
        : shape(curve), file(roast_file(curve)), engine(begin(std::move(target), curve)) {}

    static Begin begin(TargetPtr target, const CurveShape& curve) {
        Begin begin;
        begin.settings.channels = {bean_channel(), burner_channel()};
        begin.settings.tick_ms = std::llround(curve.step_s * 1000);
        begin.target = std::move(target);
        begin.next_roast = 7;
        return begin;
    }
    /// Another roast after the last reading; `until` then counts from its charge.
    void then(const CurveShape& curve) {
        const std::int64_t from_ms = file.rows.back().elapsed_ms + std::llround(curve.step_s * 1000);
        for (RoastRow row : roast_file(curve).rows) {
            row.elapsed_ms += from_ms;
            file.rows.push_back(row);
        }
        shape = curve;
        shape.idle_s += static_cast<double>(from_ms) / 1000;
    }
    bool prompts(PromptKind kind) const {
        for (const PromptView& prompt : engine.snapshot().prompts) {
            if (prompt.kind == kind) return true;
        }
        return false;
    }
    /// The next reading; `quality` other than good stands for a fault.
    const Snapshot& tick(Quality quality = Quality::good) {
        const RoastRow& row = file.rows[next++];
        Frame frame;
        frame.tick = Tick{row.elapsed_ms};
        frame.channels = 2;
        frame.samples[0] = {quality == Quality::good ? *row.values[0] : 0, quality, true};
        if (burner_pct) frame.samples[1] = {*burner_pct * 1000, Quality::good, true};
        const Snapshot& snapshot = engine.step(frame);
        for (const Event& event : engine.take_events()) events.push_back(event);
        return snapshot;
    }
    void blind_until(double since_charge_s) {
        while (static_cast<double>(file.rows[next].elapsed_ms) / 1000 < shape.idle_s + since_charge_s)
            tick(Quality::open_circuit);
    }
    /// Until `since_charge_s` of the true curve.
    const Snapshot& until(double since_charge_s) {
        while (next + 1 < file.rows.size() &&
               static_cast<double>(file.rows[next].elapsed_ms) / 1000 < shape.idle_s + since_charge_s) {
            tick();
        }
        return tick();
    }
    Refusal tell(CommandKind kind, Milestone milestone, double since_charge_s) {
        Command command;
        command.tick = engine.snapshot().tick + 250;
        command.kind = kind;
        command.milestone = milestone;
        command.at = Tick{std::llround((shape.idle_s + since_charge_s) * 1000)};
        return engine.apply(command);
    }
    /// A burner move tapped in, made at the newest tick.
    Refusal tap_burner(Milli level_milli) {
        Command command;
        command.tick = engine.snapshot().tick + 250;
        command.kind = CommandKind::made_move;
        command.level_milli = level_milli;
        command.at = engine.snapshot().tick;
        return engine.apply(command);
    }
    int count(EventKind kind) const {
        int n = 0;
        for (const Event& event : events) n += event.kind == kind;
        return n;
    }
    std::string journal() const {
        std::string text;
        for (const Event& event : events) text += std::to_string(event.tick.ms) + " " + words(event) + "\n";
        return text;
    }
};

}  // namespace drumwatch
