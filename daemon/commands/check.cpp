#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "commands/commands.hpp"
#include "commands/configuration.hpp"
#include "core/counted.hpp"

namespace drumwatch {

void add_check(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "check",
        "Read a configuration and its targets; say every mistake with its place (exit 0 none, "
        "1 the file can't be read, 2 mistakes)");
    const auto path = std::make_shared<std::string>();
    command->add_option("CONFIG", *path, "configuration file (JSON with // comments)")->required();
    command->callback([path, &exit_code] {
        const auto [config, code] = load_configuration(*path);
        exit_code = code;
        if (config)
            fmt::print("{}: in order: {} on {}, {}\n", *path, counted(config->channels.size(), "channel"),
                       counted(config->buses.size(), "bus", "buses"),
                       counted(config->targets.size(), "target"));
    });
}

}  // namespace drumwatch
