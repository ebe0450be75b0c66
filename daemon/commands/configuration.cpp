#include "commands/configuration.hpp"

#include <fmt/format.h>

#include "commands/commands.hpp"
#include "commands/target_file.hpp"
#include "service/targets.hpp"

namespace drumwatch {

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
    for (std::size_t i = 0; i < targets.value().size(); ++i)
        say_doubts(*targets.value()[i].target, reading.config->targets[i]);
    return {std::move(reading.config), kDone};
}

}  // namespace drumwatch
