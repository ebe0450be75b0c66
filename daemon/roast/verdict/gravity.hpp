// Which of several reasons a verdict goes by. PURE.
#pragma once

#include "core/verdict.hpp"

namespace drumwatch {

/// The gravest reason first (`unjudged` where nothing graver is known), and the disposition that it calls
/// for; `clear` without any.
void settle(Verdict& verdict);

}  // namespace drumwatch
