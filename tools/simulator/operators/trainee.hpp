#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "simulator/operators/operator.hpp"
#include "simulator/operators/preheater.hpp"

namespace drumwatch::simulator {

/// A change of burner or airflow that a person made; presses close together count as one.
struct MadeMove {
    Control control = Control::burner;
    double from_pct = 0.0;
    double to_pct = 0.0;
    double at_s = 0.0;  ///< since charge, of the first press
    double last_press_s = 0.0;
};

/// What is left of one roast by hand: enough to review it.
struct HandRoast {
    double charge_c = 0.0;                         ///< reading at charge
    std::vector<std::pair<double, double>> curve;  ///< seconds since charge, bean reading; once a second
    std::vector<MadeMove> moves;
    std::optional<double> first_crack_at_s;
    double drop_at_s = 0.0;
    double weight_loss_pct = 0.0;
};

/// The operator is a person, whose key presses arrive through the public functions. Between batches the drum
/// is preheated for them; while it is empty the burner and airflow keys choose the levels for the charge.
class Trainee : public Operator {
  public:
    explicit Trainee(const Machine& machine);
    void act(Floor& floor) override;
    bool finished(const Floor&) const override { return false; }

    void change(Floor& floor, Control control, double by_pct);
    /// False when there is nothing to charge into, or nothing to drop.
    bool charge(Floor& floor);
    bool drop(Floor& floor);

    double burner_pct() const { return burner_pct_; }
    double airflow_pct() const { return airflow_pct_; }
    /// The roast in the drum, or the last one.
    const HandRoast& roast() const { return roast_; }

  private:
    void note_move(const Floor& floor, Control control, double from_pct, double to_pct);
    Machine machine_;
    Preheater preheater_;
    double burner_pct_;
    double airflow_pct_;
    HandRoast roast_;
};

}  // namespace drumwatch::simulator
