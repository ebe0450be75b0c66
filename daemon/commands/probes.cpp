// `drumwatch probes`: the buses read live, and what to look at first where something is wrong.
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <atomic>
#include <chrono>
#include <csignal>
#include <thread>

#include "commands/commands.hpp"
#include "commands/configuration.hpp"
#include "commands/scan.hpp"
#include "doctor/ask_daemon.hpp"
#include "probes/probe_text.hpp"

namespace drumwatch {

namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr milliseconds kBetweenPolls{250};
constexpr milliseconds kBetweenTables{1000};
constexpr milliseconds kBetweenLooks{20};

struct ProbesCall {
    std::string config;
    bool once = false;
    bool json = false;
    ScanCall scan;
};

std::atomic<bool> ended{false};
static_assert(std::atomic<bool>::is_always_lock_free, "set by a signal handler");

void end_at(int signal) {
    struct sigaction action {};
    action.sa_handler = [](int) { ended = true; };
    ::sigaction(signal, &action, nullptr);
}

/// Polls on until `until` says so or the time is up.
template <typename Until>
void poll_until(ProbeLook& look, Clock::time_point end, Until until) {
    auto next = Clock::now();
    while (!ended && Clock::now() < end && !until()) {
        if (Clock::now() >= next) {
            look.poll();
            next = Clock::now() + kBetweenPolls;
        }
        std::this_thread::sleep_for(kBetweenLooks);
    }
}

/// A port has one reader and some devices take one connection: it is most likely our own daemon that has it.
void tell_of_daemon(const Config& config, const ProbeView& view) {
    bool lost = false;
    for (const ProbeBus& bus : view.buses) lost = lost || !bus.counters.up;
    if (!lost || !ask_daemon(config.web, "/api/status")) return;
    fmt::print(stderr,
               "another program uses the bus, perhaps: a Drumwatch that watches this station runs (its page "
               "answers at {}:{}). A serial port has one reader, and some devices take one connection: stop "
               "it (sudo systemctl stop drumwatch), or look at the probes on its page.\n",
               config.web.host, config.web.port);
}

bool print(const ProbeView& view, const ProbesCall& call, const std::string& station, bool in_place) {
    if (call.json) {
        fmt::print("{}\n", probe_json(view, station));
    } else {
        // Cursor home, and each line and the rest of the screen wiped (ECMA-48: CUP, EL, ED).
        std::string text = probe_table(view, station);
        if (in_place) {
            for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += 4)
                text.insert(at, "\033[K");
            text = "\033[H" + text + "\033[J";
        }
        fmt::print("{}{}", text, in_place ? "" : "\n");
    }
    return std::fflush(stdout) == 0;
}

int look_once(const Config& config, const ProbesCall& call) {
    ProbeLook look(config);
    poll_until(look, Clock::now() + look.longest_settling(), [&] { return look.settled(); });
    const ProbeView view = look.view();
    tell_of_daemon(config, view);
    if (!print(view, call, config.station, false)) return kFailed;
    return view.all_good() ? kDone : kFailed;
}

int look_on(const Config& config, const ProbesCall& call) {
    const bool in_place = !call.json && isatty(STDOUT_FILENO) != 0;
    ProbeLook look(config);
    if (in_place) fmt::print("\033[2J");
    bool told = false;
    while (!ended) {
        poll_until(look, Clock::now() + kBetweenTables, [] { return false; });
        if (ended) break;
        const ProbeView view = look.view();
        if (!told && look.settled()) {
            told = true;
            tell_of_daemon(config, view);
        }
        if (!print(view, call, config.station, in_place)) return kFailed;
    }
    return kDone;
}

int run_probes(const ProbesCall& call) {
    end_at(SIGINT);
    end_at(SIGTERM);
    if (!call.scan.where.empty()) return run_scan(call.scan, ended);
    if (call.config.empty()) {
        fmt::print(stderr, "name the station's configuration, or a device to look into with --scan\n");
        return kWrongInput;
    }
    const auto [config, code] = load_configuration(call.config);
    if (!config) return code;
    return call.once ? look_once(*config, call) : look_on(*config, call);
}

}  // namespace

void add_probes(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "probes", "Read the probes live, without the daemon: raw, value, faults; or --scan a device");
    const auto call = std::make_shared<ProbesCall>();
    auto* config = command->add_option("CONFIG", call->config, "configuration file (JSON with // comments)");
    command->add_flag("--once", call->once, "print one table and end: 0 every probe is good, else 1");
    auto* json = command->add_flag("--json", call->json, "print one JSON object a line");
    add_scan_options(*command, *config, call->scan);
    command->callback([call, json, &exit_code] {
        call->scan.json = json->count() > 0;
        exit_code = run_probes(*call);
    });
}

}  // namespace drumwatch
