#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>

#include "commands/commands.hpp"
#include "commands/configuration.hpp"
#include "config/alarm_list.hpp"
#include "config/bus_checks.hpp"
#include "config/limiter.hpp"
#include "core/counted.hpp"

namespace drumwatch {

void add_check(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "check",
        "Read a configuration and its targets; say every mistake with its place (exit 0 none, "
        "1 the file can't be read, 2 mistakes)");
    const auto path = std::make_shared<std::string>();
    command->add_option("CONFIG", *path, "configuration file (JSON with // comments)")->required();
    const auto alarms = std::make_shared<bool>(false);
    command->add_flag("--alarms", *alarms,
                      "list the alarms too: which are on, at what, which are off and why");
    command->callback([path, alarms, &exit_code] {
        const auto [config, code] = load_configuration(*path);
        exit_code = code;
        if (!config) return;
        fmt::print("{}: in order: {} on {}, {}\n", *path, counted(config->channels.size(), "channel"),
                   counted(config->buses.size(), "bus", "buses"), counted(config->targets.size(), "target"));
        const auto now = std::chrono::system_clock::now().time_since_epoch();
        const WallTime wall{std::chrono::duration_cast<std::chrono::milliseconds>(now).count()};
        if (const std::string note = limiter_note(config->limiter, wall); !note.empty())
            fmt::print("note: {}\n", note);
        for (const std::string& note : bus_notes(*config)) fmt::print("note: {}\n", note);
        if (*alarms) fmt::print("\n{}", alarm_list(*config));
    });
}

}  // namespace drumwatch
