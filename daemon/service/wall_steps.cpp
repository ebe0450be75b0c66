#include "service/wall_steps.hpp"

#include <cstdlib>

namespace drumwatch {

namespace {
constexpr std::int64_t kStep_ms = 2'000;
}

std::optional<WallTime> WallSteps::look(const Clock& clock, Tick now) {
    const WallTime wall = clock.wall();
    const std::int64_t apart_ms = wall.unix_ms - clock.steady_ms();
    const bool stepped = apart_ms_ && std::llabs(apart_ms - *apart_ms_) > kStep_ms;
    apart_ms_ = apart_ms;  // a clock that is steered slowly never steps
    return stepped ? std::optional(WallTime{wall.unix_ms - (now - first_)}) : std::nullopt;
}

}  // namespace drumwatch
