#include "backtest/plain_forecasts.hpp"

#include <algorithm>

namespace drumwatch {

namespace {

constexpr double kRise_s = 30;
constexpr double kPresent_s = 10;

/// How long the target takes from the present temperature to its first crack, and how it rose before.
struct TargetAhead {
    double to_go_s;
    double rise_c_s;
};

std::optional<TargetAhead> target_ahead(const TargetCurve& target, double present_c) {
    const auto here_s = target.time_at_or_beyond(present_c);
    if (!here_s) return std::nullopt;
    const double rise_c_s = (target.bean_at(*here_s) - target.bean_at(*here_s - kRise_s)) / kRise_s;
    return TargetAhead{*target.crack_s() - *here_s, rise_c_s};
}

}  // namespace

std::string_view name(PlainForecast which) {
    constexpr std::string_view kNames[] = {"straight_line", "shifted_target", "scaled_rise"};
    return kNames[static_cast<std::size_t>(which)];
}

std::string_view words(PlainForecast which) {
    constexpr std::string_view kWords[] = {"straight line", "shifted target", "scaled rise"};
    return kWords[static_cast<std::size_t>(which)];
}

PlainInstants plain_forecasts(const TargetCurve* target, const std::vector<BeanReading>& readings,
                              double now_s) {
    PlainInstants instants;
    if (!target || !target->crack_c()) return instants;
    const auto say = [&](PlainForecast which, double to_go_s) {
        instants[static_cast<std::size_t>(which)] = now_s + std::max(to_go_s, 0.0);
    };
    const auto rising = bean_line(readings, now_s - kRise_s, now_s);
    if (!rising || rising->rise_c_s <= 0) return instants;
    say(PlainForecast::straight_line, (*target->crack_c() - rising->at(now_s)) / rising->rise_c_s);
    const auto present = bean_line(readings, now_s - kPresent_s, now_s);
    const auto ahead = present ? target_ahead(*target, present->at(now_s)) : std::nullopt;
    if (!ahead) return instants;
    say(PlainForecast::shifted_target, ahead->to_go_s);
    if (ahead->rise_c_s > 0)
        say(PlainForecast::scaled_rise, ahead->to_go_s * ahead->rise_c_s / rising->rise_c_s);
    return instants;
}

}  // namespace drumwatch
