#include "commands/configuration.hpp"

#include <fmt/format.h>

#include "service/targets.hpp"

namespace drumwatch {

std::optional<Config> load_configuration(const std::string& path) {
    ConfigReading reading = read_config(path);
    for (const ConfigMistake& mistake : reading.mistakes)
        fmt::print(stderr, "{}\n", format_mistake(path, mistake));
    if (!reading.config) return std::nullopt;
    const auto targets = read_targets(*reading.config);
    if (targets) return std::move(reading.config);
    fmt::print(stderr, "{}\n", targets.error());
    return std::nullopt;
}

}  // namespace drumwatch
