#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "roast/target/made_moves.hpp"
#include "roast/target/robust.hpp"

namespace drumwatch {
namespace {

/// How many times steadier a clock must be: by chance alone one of two equally steady ones is so in about one
/// case in twenty (F distribution, judgement).
double clearly(std::size_t roasts) {
    if (roasts <= 3) return 5;
    return roasts == 4 ? 3.7 : 3;
}
constexpr double kLeastSpread_s = 5;   // hands that keep a time this well need no other clock
constexpr double kLeastOfTwo_s = 7;    // two of them: 10 s apart, where one could be late
constexpr double kLeastRise_c = 0.02;  // a second; slower, a temperature is no clock

/// Standard deviation without the value furthest out, where four or more are there: one late hand is not the
/// plan's. (A median deviation of so few is too often near nothing by chance.)
double steadiness(std::vector<double> values) {
    const double middle = median(values);
    std::sort(values.begin(), values.end(),
              [&](double a, double b) { return std::fabs(a - middle) < std::fabs(b - middle); });
    if (values.size() >= 4) values.pop_back();
    double mean = 0;
    for (const double value : values) mean += value / static_cast<double>(values.size());
    double squares = 0;
    for (const double value : values) squares += (value - mean) * (value - mean);
    return std::sqrt(squares / static_cast<double>(std::max<std::size_t>(1, values.size() - 1)));
}

double rounded(double value, double step) { return std::round(value / step) * step; }

struct ByClock {
    TriggerKind kind;
    double middle;
    std::optional<double> spread_s;
};

}  // namespace

ChosenTrigger choose_trigger(const Happenings& seen, TriggerKind usual) {
    const bool rises = seen.per_second > kLeastRise_c;
    const bool cracked = !seen.at_s.empty() && seen.after_crack_s.size() == seen.at_s.size() &&
                         *std::min_element(seen.after_crack_s.begin(), seen.after_crack_s.end()) > 0;
    std::array<ByClock, 3> clocks{
        {{TriggerKind::at_s, rounded(median(seen.at_s), 0.5), steadiness(seen.at_s)},
         {TriggerKind::bean_c, rounded(median(seen.bean_c), 0.5), {}},
         {TriggerKind::after_first_crack_s, 0, {}}}};
    if (rises) clocks[1].spread_s = steadiness(seen.bean_c) / seen.per_second;
    if (cracked) {
        clocks[2].middle = rounded(median(seen.after_crack_s), 0.5);
        clocks[2].spread_s = steadiness(seen.after_crack_s);
    }
    const ByClock& plain = clocks[static_cast<std::size_t>(usual)];
    ChosenTrigger chosen{
        {usual, plain.middle}, plain.spread_s.value_or(0), plain.spread_s.value_or(0), false};
    const double least_s = seen.at_s.size() == 2 ? kLeastOfTwo_s : kLeastSpread_s;
    if (seen.at_s.size() < 2 || !plain.spread_s || *plain.spread_s < least_s) return chosen;
    for (const ByClock& clock : clocks) {
        if (!clock.spread_s || *clock.spread_s >= chosen.spread_s) continue;
        if (*clock.spread_s * clearly(seen.at_s.size()) > *plain.spread_s) continue;
        chosen = {{clock.kind, clock.middle}, *clock.spread_s, *plain.spread_s, true};
    }
    return chosen;
}

}  // namespace drumwatch
