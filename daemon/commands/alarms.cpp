// `alarms`: how good the alarm system is, from the record.
#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "commands/alarm_text.hpp"
#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/write_out.hpp"
#include "record/reader.hpp"
#include "service/alarm_json.hpp"

namespace drumwatch {

namespace {

struct AlarmsCall {
    std::string record;
    std::string from;
    std::string to;
    std::uint64_t roast = 0;
    bool json = false;
    bool csv = false;
};

int run_alarms(const AlarmsCall& call) {
    auto question = alarm_question(call.from, call.to);
    if (!question) return complain(question.error(), kWrongInput);
    question.value().roast = call.roast;
    const auto reader = RecordReader::open(call.record);
    if (!reader) return complain(reader.error(), kFailed);
    const auto log = read_alarm_log(*reader.value(), question.value());
    if (!log) return complain(log.error(), kFailed);
    if (call.csv) return write_out("", alarm_changes_csv(log.value()));
    const AlarmFigures figures = alarm_figures(log.value());
    return write_out("", call.json ? alarm_figures_json(log.value(), figures, 2) + "\n"
                                   : alarm_report_text(log.value(), figures, call.roast));
}

constexpr const char* kFooter =
    "Days are those of the box's time zone (TZ). Rates and shares of time are of the time that was watched. "
    "An alarm raised up to 7 days before the period still counts where it stands in it.";

}  // namespace

void add_alarms(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "alarms", "How good the alarms are: rates, floods, nuisances, and what may be done");
    const auto call = std::make_shared<AlarmsCall>();
    command
        ->add_option("RECORD", call->record,
                     "the record's database file, or a backup; a daemon may be writing it")
        ->required();
    auto* from = command->add_option("--from", call->from,
                                     "first day, such as 2026-11-25; left out: 30 days up to the last one");
    auto* to = command->add_option("--to", call->to, "last day; left out: the newest that was watched");
    command->add_option("--roast", call->roast, "number of the one roast to look at, instead of days")
        ->check(CLI::PositiveNumber)
        ->excludes(from)
        ->excludes(to);
    auto* json = command->add_flag("--json", call->json, "print one JSON object, with all figures");
    command->add_flag("--csv", call->csv, "print what happened, one line a change of an alarm")
        ->excludes(json);
    command->footer(kFooter);
    command->callback([call, &exit_code] { exit_code = run_alarms(*call); });
}

}  // namespace drumwatch
