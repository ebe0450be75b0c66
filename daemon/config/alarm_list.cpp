#include "config/alarm_list.hpp"

#include <fmt/format.h>

#include <array>

#include "config/alarm_keys.hpp"

namespace drumwatch {

namespace {

std::string limit_text(const AlarmKeys& keys, const RuleSettings& rule) {
    if (keys.limit_key.empty()) return {};
    const bool relative = keys.limit_key.starts_with("above_");
    return fmt::format("{}{} {}", relative ? "+" : "", rule.limit, keys.limit.unit);
}

std::string why_off(const AlarmKeys& keys, const Config& config) {
    if (!config.alarms[keys.rule].on) return AlarmSettings{}[keys.rule].on ? "off" : "off: no limit is set";
    if (keys.watches && !find_role(config.channels, *keys.watches))
        return fmt::format("off: no channel is called \"{}\"", name(*keys.watches));
    return {};
}

/// How the priorities are shared out: the more are high, the less the word says.
std::string shares_text(const std::array<int, 3>& counts) {
    const int all = counts[0] + counts[1] + counts[2];
    const auto share = [&](int count) { return fmt::format("{} ({:.0f} %)", count, 100.0 * count / all); };
    return fmt::format("\n{} high, {} medium, {} low; held to be good: 5, 15 and 80 %, or one high alarm\n",
                       share(counts[0]), share(counts[1]), share(counts[2]));
}

}  // namespace

std::string alarm_list(const Config& config) {
    std::string text =
        fmt::format("{:<22}{:<10}{:<16}{:>9}{:>9}\n", "alarm", "priority", "limit", "after", "over");
    std::array<int, 3> counts{};  // by priority
    for (const AlarmKeys& keys : kAlarmTable) {
        const RuleSettings& rule = config.alarms[keys.rule];
        if (const std::string off = why_off(keys, config); !off.empty()) {
            text += fmt::format("{:<22}{}\n", keys.name(), off);
            continue;
        }
        ++counts[static_cast<std::size_t>(rule.priority) - 1];
        text += fmt::format("{:<22}{:<10}{:<16}{:>7} s{:>7} s{}\n", keys.name(), name(rule.priority),
                            limit_text(keys, rule), static_cast<double>(rule.on_delay_ms) / 1000,
                            static_cast<double>(rule.off_delay_ms) / 1000,
                            rule.latches ? "  stays until reset" : "");
    }
    return text + shares_text(counts);
}

}  // namespace drumwatch
