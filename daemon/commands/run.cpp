#include <fmt/format.h>
#include <spdlog/async.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <CLI/CLI.hpp>
#include <cstdlib>

#include "commands/commands.hpp"
#include "commands/configuration.hpp"
#include "drivers/capture/capture_folder.hpp"
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

struct RunCall {
    std::string config;
    std::string capture;  ///< folder; empty: none
    std::uint64_t capture_mb = 100;
    bool capture_bytes = false;
};

Result<std::unique_ptr<CaptureFolder>> open_capture(const RunCall& call, const Config& config) {
    const double speed = config.simulated && !config.simulated->stepped ? config.simulated->speed : 1;
    return CaptureFolder::open({call.capture, call.capture_mb * 1'000'000, speed}, config.buses,
                               config.channels,
                               [](const std::string& sentence) { spdlog::warn("{}", sentence); });
}

BusWitness witness_of(CaptureFolder& capture, bool with_bytes) {
    BusWitness witness;
    witness.polled = [&capture](std::size_t bus, const PollOutcome& outcome) { capture.note(bus, outcome); };
    if (with_bytes)
        witness.bytes = [&capture](std::size_t bus, ByteWay way, std::span<const std::uint8_t> bytes) {
            capture.note_bytes(bus, way, bytes);
        };
    return witness;
}

int run_station(const RunCall& call) {
    // stdout carries results (the page's address); everything else that a person may want goes to stderr.
    spdlog::set_default_logger(spdlog::stderr_logger_mt("drumwatch"));
    // The journal (systemd.exec(5), JOURNAL_STREAM) keeps the time itself.
    spdlog::set_pattern(std::getenv("JOURNAL_STREAM") ? "%l: %v" : "%Y-%m-%dT%H:%M:%S.%e %l %v");
    const auto [config, code] = load_configuration(call.config);
    if (!config) return code;
    std::unique_ptr<CaptureFolder> capture;
    BusWitness witness;
    if (!call.capture.empty()) {
        auto opened = open_capture(call, *config);
        if (!opened) {
            fmt::print(stderr, "{}\n", opened.error());
            return kFailed;
        }
        capture = std::move(opened.value());
        witness = witness_of(*capture, call.capture_bytes);
        for (const std::string& file : capture->paths())
            spdlog::info("what the bus carries goes into {}", file);
    }
    auto station = LiveStation::open(*config, witness);
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
    capture.reset();     // after the buses, before the log
    spdlog::shutdown();  // writes what waits
    return kDone;
}

}  // namespace

void add_run(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand("run", "Watch the station until told to stop (Ctrl-C)");
    const auto call = std::make_shared<RunCall>();
    command->add_option("CONFIG", call->config, "configuration file (JSON with // comments)")->required();
    auto* capture = command->add_option("--capture", call->capture,
                                        "keep what the buses carry in this folder, one new file a bus");
    command->add_option("--capture-mb", call->capture_mb, "end the capture at so many MB in all (100)")
        ->needs(capture)
        ->check(CLI::Range(1, 1'000'000));
    command
        ->add_flag("--capture-bytes", call->capture_bytes,
                   "keep every byte sent and received as well, in hexadecimal")
        ->needs(capture);
    command->callback([call, &exit_code] { exit_code = run_station(*call); });
}

}  // namespace drumwatch
