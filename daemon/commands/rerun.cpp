#include "rerun/rerun.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "commands/commands.hpp"
#include "commands/configuration.hpp"
#include "commands/rerun_watch.hpp"
#include "files/target_json.hpp"

namespace drumwatch {

namespace {

struct RerunCall {
    std::string roast;
    std::string target;
    std::string config;
    bool ignore_marks = false;
    bool json = false;
    std::uint64_t watch = 0;  ///< 0: a roast file
    bool journal = false;
};

/// False when something named on the command line can't be read; it has been said then.
bool gather(const RerunCall& call, RerunOptions& options) {
    options.ignore_marks = call.ignore_marks;
    Tolerance defaults;
    if (!call.config.empty()) {
        const auto config = load_configuration(call.config);
        if (!config) return false;
        options.alarms = config->alarms;
        options.tick_ms = config->tick_ms;
        defaults = config->verdict;
    }
    if (call.target.empty()) return true;
    auto target = read_target(call.target, defaults);
    if (!target) {
        fmt::print(stderr, "{}\n", target.error());
        return false;
    }
    options.target = std::make_shared<const Target>(std::move(target.value()));
    return true;
}

int run_rerun(const RerunCall& call) {
    if (call.watch > 0) return rerun_watch(call.roast, call.watch, call.journal);
    RerunOptions options;
    if (!gather(call, options)) return kWrongInput;
    const auto file = read_roast_csv(call.roast);
    if (!file) {
        fmt::print(stderr, "{}\n", file.error());
        return kWrongInput;
    }
    for (const std::string& warning : file.value().warnings)
        fmt::print(stderr, "{}: {}\n", call.roast, warning);
    const RerunResult result = rerun(file.value(), options);
    fmt::print("{}", call.json ? report_json(result) : report_text(result));
    return kDone;
}

}  // namespace

void add_rerun(CLI::App& app, int& exit_code) {
    CLI::App* command =
        app.add_subcommand("rerun", "Feed a recorded roast through the engine again; it drives nothing");
    const auto call = std::make_shared<RerunCall>();
    command->add_option("ROAST", call->roast, "roast file (.csv or .csv.gz), or a record with --watch")
        ->required();
    command->add_option("--target", call->target,
                        "target to judge it by (.json, or a roast file with marks)");
    command->add_option("--config", call->config, "configuration whose alarm and verdict limits to use");
    command->add_flag("--ignore-marks", call->ignore_marks, "look at the temperatures only");
    command->add_flag("--json", call->json, "print one JSON object");
    auto* watch = command->add_option("--watch", call->watch,
                                      "number of a watch in the record: run it again and compare");
    watch->check(CLI::PositiveNumber);
    command->add_flag("--journal", call->journal, "print the journal, one line an event")->needs(watch);
    command->callback([call, &exit_code] { exit_code = run_rerun(*call); });
}

}  // namespace drumwatch
