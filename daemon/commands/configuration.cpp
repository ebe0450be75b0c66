#include "commands/configuration.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "commands/commands.hpp"
#include "commands/target_file.hpp"
#include "service/targets.hpp"

namespace drumwatch {

namespace {

/// A target that is planned to be hotter than the alarm's limit makes it sound in every roast.
void say_hotter_than_alarm(const Target& target, const std::string& path, const RuleSettings& alarm) {
    const auto hottest = std::max_element(target.points.begin(), target.points.end(),
                                          [](const auto& a, const auto& b) { return a.bean_c < b.bean_c; });
    if (hottest == target.points.end() || hottest->bean_c <= alarm.limit) return;
    fmt::print(
        stderr,
        "{}: reaches {:.1f} °C, and the bean overtemperature alarm stands at {} °C: it would sound in "
        "every roast of this target; set \"limit_c\" of \"bean_high_high\" between this target's end and "
        "the limiter\n",
        path, hottest->bean_c, alarm.limit);
}

}  // namespace

LoadedConfiguration load_configuration(const std::string& path) {
    ConfigReading reading = read_config(path);
    for (const ConfigMistake& mistake : reading.mistakes)
        fmt::print(stderr, "{}\n", format_mistake(path, mistake));
    if (!reading.config) return {std::nullopt, reading.readable ? kWrongInput : kFailed};
    const auto targets = read_targets(*reading.config);
    if (!targets) {
        fmt::print(stderr, "{}\n", targets.error());
        return {std::nullopt, kWrongInput};
    }
    for (std::size_t i = 0; i < targets.value().size(); ++i) {
        const Target& target = *targets.value()[i].target;
        say_doubts(target, reading.config->targets[i]);
        say_hotter_than_alarm(target, reading.config->targets[i],
                              reading.config->alarms[AlarmRule::bean_high_high]);
    }
    return {std::move(reading.config), kDone};
}

}  // namespace drumwatch
