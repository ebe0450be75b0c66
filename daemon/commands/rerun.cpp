#include "rerun/rerun.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/option_checks.hpp"
#include "commands/rerun_options.hpp"
#include "commands/rerun_watch.hpp"
#include "commands/show_watch.hpp"
#include "roast/verdict/late_facts.hpp"
#include "watch/journal.hpp"

namespace drumwatch {

namespace {

constexpr double kLeast_kg = 0.01;
constexpr double kMost_kg = 1000;
constexpr double kMostColour = 1000;

struct RerunCall {
    std::string roast;
    RerunSources from;
    bool ignore_marks = false;
    bool json = false;
    std::uint64_t watch = 0;  ///< 0: a roast file
    bool journal = false;
    bool live_speed = false;
    LateFacts late;
    ShowOptions show;
};

int run_watch(const RerunCall& call) {
    const auto file = call.watch > 0 ? load_watch(call.roast, call.watch) : load_watch_file(call.roast);
    if (!file) return complain(file.error());
    return call.live_speed ? show_watch(file.value(), call.show) : rerun_watch(file.value(), call.journal);
}

void judge_late(const LateFacts& late, RerunResult& result) {
    if (!late.charge_kg && !late.roasted_kg && !late.colour) return;
    if (!late.roasted_kg && !late.colour)
        fmt::print(stderr, "--charge-kg alone says nothing of the roast: give --roasted-kg as well\n");
    if (!result.target) {
        fmt::print(stderr, "weight and colour are judged by a target, and none was given\n");
    } else if (!result.dropped) {
        fmt::print(stderr, "weight and colour are judged after the drop, and the file has none\n");
    } else {
        result.late = late_findings(late, *result.target);
        result.verdict = with_late_facts(result.verdict, late, *result.target);
    }
}

int run_rerun(const RerunCall& call) {
    const Holds holds = look_into(call.roast);
    if (call.watch > 0 || holds == Holds::watch) return run_watch(call);
    if (holds == Holds::record)
        return complain(fmt::format("{} is a record: say which of its watches with --watch N", call.roast));
    if (call.live_speed)
        return complain("--live-speed shows a watch: give a record with --watch N, or an exported watch");
    RerunOptions options;
    options.ignore_marks = call.ignore_marks;
    if (const int code = gather(call.from, options); code != kDone) return code;
    const auto file = read_roast_csv(call.roast);
    if (!file) {
        fmt::print(stderr, "{}\n", file.error());
        return kWrongInput;
    }
    for (const std::string& warning : file.value().warnings)
        fmt::print(stderr, "{}: {}\n", call.roast, warning);
    RerunResult result = rerun(file.value(), options);
    judge_late(call.late, result);
    if (call.journal) {
        for (const Event& event : result.events) fmt::print("{}\n", journal_line(journal_entry(event)));
        return kDone;
    }
    fmt::print("{}", call.json ? report_json(result) : report_text(result));
    return kDone;
}

}  // namespace

void add_rerun(CLI::App& app, int& exit_code) {
    CLI::App* command =
        app.add_subcommand("rerun", "Feed a recorded roast through the engine again; it drives nothing");
    const auto call = std::make_shared<RerunCall>();
    command
        ->add_option("ROAST", call->roast,
                     "roast file (.csv or .csv.gz), exported watch, or a record with --watch")
        ->required();
    command->add_option("--target", call->from.target,
                        "target to judge it by (.json, or a roast file with marks)");
    command->add_option("--config", call->from.config, "configuration whose alarm and verdict limits to use");
    command->add_option("--lessons", call->from.lessons,
                        "what earlier roasts taught, as backtest --save-lessons writes it");
    command->add_option("--charge-kg", call->late.charge_kg, "what was charged; left out: the target's own")
        ->check(number_between(kLeast_kg, kMost_kg, "kg"));
    command
        ->add_option("--roasted-kg", call->late.roasted_kg,
                     "what came out: judged by the target's weight loss")
        ->check(number_between(kLeast_kg, kMost_kg, "kg"));
    command->add_option("--colour", call->late.colour, "by the site's meter: judged by the target's")
        ->check(number_between(0, kMostColour, ""));
    command->add_flag("--ignore-marks", call->ignore_marks, "look at the temperatures only");
    command->add_flag("--json", call->json, "print one JSON object");
    command->add_option("--watch", call->watch, "number of a watch in the record: run it again and compare")
        ->check(CLI::PositiveNumber);
    command->add_flag("--journal", call->journal, "print the journal, one line an event");
    auto* live = command->add_flag(
        "--live-speed", call->live_speed,
        "show the watch on a page, as fast as it was, from a minute before its first charge");
    command
        ->add_option("--port", call->show.port, "port of that page on this machine; left out: any free one")
        ->needs(live);
    command->add_option("--speed", call->show.speed, "times faster")
        ->check(CLI::Range(0.1, 100.0))
        ->needs(live);
    command->add_option("--from", call->show.from_s, "seconds since the watch began, instead")->needs(live);
    command->callback([call, &exit_code] { exit_code = run_rerun(*call); });
}

}  // namespace drumwatch
