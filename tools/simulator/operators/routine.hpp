#pragma once

#include <map>
#include <set>
#include <vector>

#include "simulator/operators/operator.hpp"
#include "simulator/operators/preheater.hpp"

namespace drumwatch::simulator {

struct RoutineOptions {
    std::uint64_t seed = 1;
    double scatter = 1.0;                  ///< 0: every batch alike; 1: the usual small differences
    bool human = false;                    ///< small random lags before each action
    double charge_offset_c = 0.0;          ///< charges this much hotter than planned
    std::map<std::size_t, double> late_s;  ///< number of the planned move (from 1), seconds late
    std::set<std::size_t> skipped;
    int batches = 0;              ///< 0: goes on for ever
    std::optional<double> gap_s;  ///< from drop to the next charge at the least; else the machine's
};

/// The simulated operator: preheats, charges, follows the machine's schedule, listens for first crack, drops,
/// and goes on with the next batch while the last one cools. Errors in keeping the schedule are as the
/// options say, in every batch.
class RoutineOperator : public Operator {
  public:
    explicit RoutineOperator(RoutineOptions options);
    void act(Floor& floor) override;
    bool finished(const Floor& floor) const override;

  private:
    struct Pending {
        std::optional<double> due_s;
        double lag_s = 0.0;
        bool done = false;
        TriggerWatch watch;
    };
    void begin_preheat(Floor& floor);
    void preheat(Floor& floor);
    void charge(Floor& floor);
    void roast(Floor& floor);
    void make_moves(Floor& floor, std::optional<double> heard_s);
    void make_move(Floor& floor, std::size_t index, Pending& pending);
    void drop_when_due(Floor& floor, std::optional<double> heard_s);
    std::optional<double> heard_first_crack_s(const Floor& floor) const;
    double lag_s(double longest_s);

    enum class Stage { start, preheat, ready, roast, done } stage_ = Stage::start;
    RoutineOptions options_;
    Random random_;
    Preheater preheater_;
    double charge_target_c_ = 0.0;
    std::int64_t charge_ms_ = 0;
    double hearing_lag_s_ = 1.5;
    std::vector<Pending> pending_;
    Pending drop_;
};

}  // namespace drumwatch::simulator
