// How a batch kept its target, summed up while its trace grows, so that the tick that finds the drop has
// little left to do. The deviation at one entry is the mean of the readings within 2 s of it: after the drop
// there is no need to look at the past only, and noise must not break a stretch in two. PURE, one thread, no
// allocation.
#pragma once

#include <array>
#include <cstdint>

#include "core/snapshot.hpp"
#include "roast/target/target_curve.hpp"
#include "roast/verdict/trace.hpp"

namespace drumwatch {

class DeviationSum {
  public:
    /// A batch begins, or its target or charge is another now: from the first entry on. The target must
    /// outlive the sum; null: there is nothing to sum up.
    void start(const TargetCurve* target, Tick charge);
    bool counts_from(Tick charge) const { return charge_ == charge; }

    /// So many entries further, none of them within 2 s of the newest.
    void go_on(const Trace& trace, int entries);

    /// The judged stretch (the target's from_s to the earlier of the two drops), whatever lies after that
    /// drop in the trace. The same, to the last bit, however far go_on() had come. Only with a target.
    DeviationSummary until(const Trace& trace, Tick drop) const;

  private:
    /// Longest unbroken stretch of a condition, in seconds, over entries that need not be evenly spaced.
    class Stretch {
      public:
        void add(bool holds, double t_s);
        /// What comes next does not hang together with what was.
        void end() { holding_ = false; }
        double longest_s() const { return longest_s_; }
        double total_s() const { return total_s_; }
        /// Of the one under way; 0 where there is none.
        double now_s() const { return holding_ ? last_s_ - from_s_ : 0; }

      private:
        bool holding_ = false;
        double from_s_ = 0;
        double last_s_ = 0;
        double longest_s_ = 0;
        double total_s_ = 0;
    };

    /// Readings round the entry that was looked at last.
    struct Window {
        static constexpr std::size_t kReadings = 64;  // 4 s at 10 Hz, with room
        std::size_t first = 0;
        std::size_t next = 0;
        std::array<double, kReadings> off_c{};  ///< of those between the two
        double sum = 0;
        int readings = 0;
    };

    struct State {
        std::size_t next = 0;  ///< entry
        Tick needs;            ///< the newest reading that counts so far may be so new
        Window window;
        Stretch outside, far_outside, gap;
        double max_c = 0;
        double max_at_s = 0;
        double max_ahead_s = 0;
        double max_behind_s = 0;
    };

    double off_c(const TraceEntry& entry, double bean_c) const;
    void count(Window& window, const Trace& trace, std::size_t index, int sign) const;
    double deviation_at(Window& window, const Trace& trace, const TraceEntry& entry, Tick last) const;
    void judge(State& state, const Trace& trace, const TraceEntry& entry, Tick last) const;
    void note_ahead(State& state, double t_s, double bean_c) const;
    State before(Tick drop) const;
    void keep();

    const TargetCurve* target_ = nullptr;
    Tick charge_;
    State now_;
    /// Of some moments before now, each in its turn: a drop is found seconds after it happened.
    std::array<State, 16> kept_;
    std::size_t times_kept_ = 0;
};

}  // namespace drumwatch
