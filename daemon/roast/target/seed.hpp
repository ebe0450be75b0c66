// A trial target whose times come from a sample roast of another machine. PURE.
//
// A sample roaster's probe reads other temperatures for the same coffee: the curve's are those of `base`, a
// target or a roast of this station, and so are the levels of its moves. Between the milestones that both
// have (charge, turning point, yellow, first crack, drop) the base is stretched or shortened until each comes
// when the sample had it; the turning point stays where this machine has it. The drop rule is the sample's
// development time, where both have a first crack.
#pragma once

#include "roast/target/make.hpp"

namespace drumwatch {

Target seeded_target(const Target& base, const SourceRoast& sample);

}  // namespace drumwatch
