#include <fmt/format.h>
#include <spdlog/async.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <CLI/CLI.hpp>
#include <cstdlib>

#include "commands/commands.hpp"
#include "commands/configuration.hpp"
#include "service/live_station.hpp"

namespace drumwatch {

namespace {

/// From here on a journal that stalls must delay no tick: lines go through a queue to a thread of their own,
/// and the oldest are lost first.
void log_through_a_queue() {
    constexpr std::size_t kLines = 1024;
    spdlog::init_thread_pool(kLines, 1);
    spdlog::set_default_logger(spdlog::create_async_nb<spdlog::sinks::stderr_sink_mt>("drumwatch running"));
}

int run_station(const std::string& path) {
    // stdout carries results (the page's address); everything else that a person may want goes to stderr.
    spdlog::set_default_logger(spdlog::stderr_logger_mt("drumwatch"));
    // The journal (systemd.exec(5), JOURNAL_STREAM) keeps the time itself.
    spdlog::set_pattern(std::getenv("JOURNAL_STREAM") ? "%l: %v" : "%Y-%m-%dT%H:%M:%S.%e %l %v");
    const auto [config, code] = load_configuration(path);
    if (!config) return code;
    auto station = LiveStation::open(*config);
    if (!station) {
        fmt::print(stderr, "{}\n", station.error());
        return kFailed;
    }
    for (const std::string& sentence : station.value()->found()) spdlog::info("{}", sentence);
    spdlog::info("{} watches only: no safety device. {}", config->station,
                 config->limiter.stated ? "" : "No independent high-limit control is stated.");
    fmt::print("page: http://{}:{}/\n", config->web.host, station.value()->web_port());
    std::fflush(stdout);
    log_through_a_queue();
    station.value()->run();
    station.value().reset();
    spdlog::shutdown();  // writes what waits
    return kDone;
}

}  // namespace

void add_run(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand("run", "Watch the station until told to stop (Ctrl-C)");
    const auto path = std::make_shared<std::string>();
    command->add_option("CONFIG", *path, "configuration file (JSON with // comments)")->required();
    command->callback([path, &exit_code] { exit_code = run_station(*path); });
}

}  // namespace drumwatch
