// Three plain forecasts of first crack for the engine's to be held against. They see the file's readings up
// to now and the target, and no interval, lesson or move. PURE but for the readings' allocation.
//   straight line       the last 30 s, carried on to the target's crack temperature
//   shifted target      the target, shifted in time until it has the present temperature now
//   scaled rise         the target's rise against temperature, times the present ratio: the rise of the last
//                       30 s over the target's mean rise in the 30 s before it had the present temperature
// The present temperature is that of the line of the last 10 s. None says that first crack lies before now.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "backtest/bean_line.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

enum class PlainForecast : std::uint8_t { straight_line, shifted_target, scaled_rise };
inline constexpr std::size_t kPlainForecasts = 3;
std::string_view name(PlainForecast which);
std::string_view words(PlainForecast which);

/// When first crack would come, in the file's seconds, indexed by PlainForecast. Nothing where it can't be
/// said: no target, a target without first crack, readings that are missing or do not rise.
using PlainInstants = std::array<std::optional<double>, kPlainForecasts>;
PlainInstants plain_forecasts(const TargetCurve* target, const std::vector<BeanReading>& readings,
                              double now_s);

}  // namespace drumwatch
