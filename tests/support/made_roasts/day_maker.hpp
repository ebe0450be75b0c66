// Rows and commands of a made day, one stretch after the other, and the frames that the core thread would
// make of them.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>

#include "core/milli.hpp"
#include "support/made_roasts/made_day.hpp"
#include "support/made_roasts/surroundings.hpp"

namespace drumwatch {

inline constexpr std::int64_t kTick_ms = 250;
inline constexpr double kMorning_c = 24;

inline std::int64_t on_grid(double at_s) {
    return static_cast<std::int64_t>(std::ceil(at_s * 1000 / kTick_ms)) * kTick_ms;
}

/// Rows and commands of a day, one stretch after the other.
class DayMaker {
  public:
    DayMaker(const MadeStation& station, std::uint64_t seed)
        : station_(station), random_(seed), around_(station, random_) {
        day_.begin.settings = station.settings;
        day_.begin.target = std::make_shared<const Target>(station.site.target);
    }

    /// The drum comes from where it is to where the batch finds it.
    void come_to(const MadeBatch& next, const BatchPlan& plan, double for_s) {
        const auto& to = next.file.rows.front().values;
        const double bean_to_c = from_milli(to[0].value_or(to_milli(station_.site.charge_c).value_or(0)));
        const double exhaust_to_c = from_milli(to[1].value_or(to_milli(bean_to_c).value_or(0)));
        const double tau_s = for_s / 6;
        const double bean_from_c = bean_c_, exhaust_from_c = exhaust_c_;
        for (double t_s = 0; t_s < for_s; t_s += plan.step_s) {
            const double left = std::exp(-t_s / tau_s);
            const auto read = [&](double to_c, double from_c) {
                const double shown = to_c + (from_c - to_c) * left + plan.noise_c * random_.normal();
                return to_milli(std::round(shown / plan.quantum_c) * plan.quantum_c);
            };
            add({read(bean_to_c, bean_from_c), read(exhaust_to_c, exhaust_from_c), to[2], to[3]}, t_s,
                plan.step_s);
        }
        now_s_ += for_s;
    }

    void roast(const MadeBatch& made, const BatchPlan& plan) {
        const BatchTruth& truth = made.truth;
        const double charge_s = now_s_ + truth.charge_s;
        around_.charged(charge_s);
        day_.roasts.push_back({plan, truth, Tick{std::llround(charge_s * 1000)},
                               Tick{std::llround((charge_s + truth.drop_s) * 1000)}});
        bool dropped = false;
        for (const RoastRow& row : made.file.rows) {
            const double t_s = static_cast<double>(row.elapsed_ms) / 1000;
            if (!dropped && t_s > truth.charge_s + truth.drop_s) {
                dropped = true;
                around_.dropped(now_s_ + t_s, true_end_c(truth));
            }
            add(row.values, t_s, plan.step_s);
            if (row.mark) mark(*row.mark, now_s_ + t_s);
        }
        now_s_ += static_cast<double>(made.file.rows.back().elapsed_ms) / 1000 + plan.step_s;
    }

    void mark(Milestone milestone, double at_s) {
        Command command;
        command.milestone = milestone;
        command.tick = command.at = Tick{on_grid(at_s)};
        day_.commands.push_back(command);
    }

    void give_up() {
        Command command;
        command.kind = CommandKind::abort_roast;
        command.tick = Tick{on_grid(static_cast<double>(day_.roasts.back().drop.ms) / 1000)};
        command.text = "given up";
        day_.commands.push_back(command);
    }

    /// What people tap beside first crack.
    void taps(bool drop) {
        const MadeRoast& roast = day_.roasts.back();
        const double charge_s = static_cast<double>(roast.charge.ms) / 1000;
        if (station_.kit.taps_charge) mark(Milestone::charge, charge_s + random_.uniform(0.5, 3));
        if (drop) mark(Milestone::drop, charge_s + roast.truth.drop_s + random_.uniform(0, 3));
        if (station_.kit.controls_read) return;
        for (const BatchTruth::Move& move : roast.truth.moves) {
            Command command;
            command.kind = CommandKind::made_move;
            command.control = move.control;
            command.level_milli = to_milli(std::round(move.level)).value_or(0);
            command.tick = command.at = Tick{on_grid(charge_s + move.at_s + random_.uniform(0.5, 3))};
            if (command.tick < roast.drop) day_.commands.push_back(command);
        }
    }

    void wait(const BatchPlan& plan, double for_s) {
        const double bean_from_c = bean_c_, exhaust_from_c = exhaust_c_;
        for (double t_s = 0; t_s < for_s; t_s += plan.step_s) {
            const double left = std::exp(-t_s / 200);
            const auto read = [&](double from_c) {
                const double shown = 110 + (from_c - 110) * left + plan.noise_c * random_.normal();
                return to_milli(std::round(shown / plan.quantum_c) * plan.quantum_c);
            };
            add({read(bean_from_c), read(exhaust_from_c), to_milli(0), to_milli(50)}, t_s, plan.step_s);
        }
        now_s_ += for_s;
    }

    MadeDay& day() { return day_; }
    Surroundings& around() { return around_; }
    TestRandom& random() { return random_; }
    double now_s() const { return now_s_; }

    MadeDay finish() {
        std::stable_sort(day_.commands.begin(), day_.commands.end(),
                         [](const Command& a, const Command& b) { return a.tick < b.tick; });
        frames();
        return std::move(day_);
    }

    /// Changes what a row shows of bean and exhaust; `now_s` of the day.
    std::function<void(double now_s, RoastRow&)> change;

  private:
    static double true_end_c(const BatchTruth& truth) {
        const auto last = static_cast<std::size_t>(std::max(0.0, truth.drop_s));
        return truth.probe_c[std::min(last, truth.probe_c.size() - 1)];
    }

    /// `machine`: bean, exhaust, burner, airflow, as made_batch has them.
    void add(const std::vector<std::optional<Milli>>& machine, double t_s, double step_s) {
        const double now_s = now_s_ + t_s;
        const auto around = around_.step(now_s, step_s, from_milli(machine[2].value_or(0)) / 100);
        RoastRow row;
        row.elapsed_ms = std::llround(now_s * 1000);
        row.values = {machine[0], machine[1]};
        if (row.values[0]) bean_c_ = from_milli(*row.values[0]);
        if (row.values[1]) exhaust_c_ = from_milli(*row.values[1]);
        const StationKit& kit = station_.kit;
        if (kit.controls_read) row.values.insert(row.values.end(), {machine[2], machine[3]});
        if (kit.inlet) row.values.push_back(to_milli(around.inlet_c));
        if (kit.tray) row.values.push_back(to_milli(around.tray_c));
        if (kit.ambient) row.values.push_back(to_milli(around.ambient_c));
        if (kit.oxidiser) row.values.push_back(to_milli(around.oxidiser_c));
        if (kit.carbon_monoxide) row.values.push_back(to_milli(std::round(around.monoxide_ppm)));
        if (change) change(now_s, row);
        rows_.push_back(std::move(row));
    }

    /// As the core thread makes them: newest reading, fresh or held over, stale when it is old.
    void frames() {
        const ChannelTable& channels = station_.settings.channels;
        std::vector<std::int64_t> read_ms(channels.size(), 0);
        Frame frame;
        frame.channels = static_cast<std::uint8_t>(channels.size());
        std::size_t next = 0;
        for (; next < rows_.size(); frame.tick = frame.tick + kTick_ms) {
            for (Sample& sample : frame.samples) sample.fresh = false;
            for (; next < rows_.size() && rows_[next].elapsed_ms <= frame.tick.ms; ++next) {
                for (std::size_t i = 0; i < channels.size(); ++i) {
                    if (!rows_[next].values[i]) continue;
                    frame.samples[i] = {*rows_[next].values[i], Quality::good, true};
                    read_ms[i] = frame.tick.ms;
                }
            }
            for (std::size_t i = 0; i < channels.size(); ++i) {
                const bool old = frame.tick.ms - read_ms[i] > channels[i].max_age_ms;
                if (old && is_good(frame.samples[i].quality)) frame.samples[i].quality = Quality::stale;
            }
            day_.frames.push_back(frame);
        }
    }

    const MadeStation& station_;
    TestRandom random_;
    Surroundings around_;
    MadeDay day_;
    std::vector<RoastRow> rows_;
    double now_s_ = 0;
    double bean_c_ = kMorning_c;
    double exhaust_c_ = kMorning_c;
};

}  // namespace drumwatch
