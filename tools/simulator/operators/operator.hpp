#pragma once

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {

/// Whoever stands at the machine. act() is called before every step.
class Operator {
  public:
    virtual ~Operator() = default;
    virtual void act(Floor& floor) = 0;
    /// True when nothing more will be charged and the last batch has cooled.
    virtual bool finished(const Floor& floor) const = 0;
};

/// Says when planned moves and the drop fall due. One a batch.
class TriggerWatch {
  public:
    /// Whether `when` has come. A temperature counts only while rising: the reading must first have been 2 C
    /// below.
    bool due(const Trigger& when, const Floor& floor, std::optional<double> heard_first_crack_s);

  private:
    bool below_ = false;
};

}  // namespace drumwatch::simulator
