#include "backtest/backtest.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <chrono>

#include "commands/commands.hpp"
#include "commands/rerun_options.hpp"
#include "commands/write_out.hpp"
#include "core/counted.hpp"
#include "files/lessons_json.hpp"

namespace drumwatch {

namespace {

struct BacktestCall {
    std::vector<std::string> files;
    RerunSources from;
    std::string plot;
    std::string save_lessons;
    bool ignore_marks = false;
    bool json = false;
};

/// How far it is, on stderr: a line that is written over on a terminal, else one every now and then.
class Progress {
  public:
    explicit Progress(std::size_t all) : all_(all), terminal_(isatty(STDERR_FILENO) != 0) {}

    void done() {
        ++done_;
        const auto now = std::chrono::steady_clock::now();
        if (now - said_ < (terminal_ ? kOften : kSeldom)) return;
        said_ = now;
        fmt::print(stderr, "{}{} of {}{}", terminal_ ? "\r" : "", done_, counted(all_, "roast"),
                   terminal_ ? "" : "\n");
        shown_ = terminal_;
    }
    /// Before anything else is said on stderr, and at the end.
    void clear() {
        if (shown_) fmt::print(stderr, "\r\x1b[K");
        shown_ = false;
    }

  private:
    static constexpr std::chrono::milliseconds kOften{200};
    static constexpr std::chrono::milliseconds kSeldom{10'000};
    std::size_t all_;
    bool terminal_;
    std::size_t done_ = 0;
    bool shown_ = false;
    std::chrono::steady_clock::time_point said_ = std::chrono::steady_clock::now();
};

void complain_of(const BacktestFile& file) {
    if (!file.error.empty()) fmt::print(stderr, "{}\n", file.error);
    for (const std::string& warning : file.warnings) fmt::print(stderr, "{}: {}\n", file.path, warning);
    if (file.error.empty() && !file.charged) fmt::print(stderr, "{}: no charge was found in it\n", file.path);
}

/// Runs them; files are printed as they come, so that a year of roasts needs no more memory than one.
BacktestSummary run_all(const std::vector<std::string>& paths, const BacktestOptions& options) {
    Progress progress(paths.size());
    const char* before = "\n";
    if (options.reports) fmt::print("{{\n\"files\": [");
    BacktestSummary summary = backtest(paths, options, [&](const BacktestFile& file) {
        const bool says = !file.error.empty() || !file.warnings.empty() || !file.charged;
        if (says) progress.clear();
        complain_of(file);
        if (!file.report.empty()) fmt::print("{}{}", before, file_json(file.path, file.report));
        if (!file.report.empty()) before = ",\n";
        progress.done();
    });
    progress.clear();
    return summary;
}

int write_beside(const BacktestCall& call, const BacktestSummary& summary) {
    int code = kDone;
    if (!call.plot.empty()) code = std::max(code, write_out(call.plot, plot_svg(summary)));
    if (!call.save_lessons.empty())
        code = std::max(code, write_out(call.save_lessons, write_lessons(summary.lessons)));
    return code;
}

/// Before the work, so that none is lost.
bool may_write_beside(const BacktestCall& call) {
    bool may = call.plot.empty() || call.plot != call.save_lessons;
    if (!may) fmt::print(stderr, "{}: picture and lessons can't be one file: name two\n", call.plot);
    for (const auto& [path, mark] :
         {std::pair{call.plot, "<svg "}, std::pair{call.save_lessons, "\"drumwatch_lessons\""}}) {
        const auto complaint = path.empty() ? std::nullopt : not_to_be_replaced(path, mark);
        if (!complaint) continue;
        fmt::print(stderr, "{}\n", *complaint);
        may = false;
    }
    return may;
}

int run_backtest(const BacktestCall& call) {
    if (!may_write_beside(call)) return kWrongInput;
    BacktestOptions options;
    options.rerun.ignore_marks = call.ignore_marks;
    options.reports = call.json;
    if (const int code = gather(call.from, options.rerun); code != kDone) return code;
    if (!TargetCurve(options.rerun.target).crack_c())
        fmt::print(stderr, "{}: has no first crack, so the plain forecasts say nothing\n", call.from.target);
    const RoastPaths found = roast_paths(call.files);
    for (const std::string& complaint : found.complaints) fmt::print(stderr, "{}\n", complaint);
    if (found.paths.empty()) return kWrongInput;
    const BacktestSummary summary = run_all(found.paths, options);
    if (call.json) {
        fmt::print("\n],\n\"summary\": {}\n}}\n", summary_json(summary));
    } else if (summary.read > 0) {
        fmt::print("{}", summary_text(summary));
    }
    if (summary.read == 0) return kWrongInput;
    const bool all = summary.unreadable.empty() && found.complaints.empty();
    return std::max(all ? kDone : kFailed, write_beside(call, summary));
}

constexpr const char* kBacktestFooter =
    "Files are taken in the order given, a folder's .csv and .csv.gz files in the order of their names. Each "
    "is "
    "run with what the files before it taught: a mark counts when its row is reached, and teaches when its "
    "file "
    "ends. A column \"verdict\" (clear, taste, hold or unjudged in any row) says the right verdict.\n"
    "An error is forecast minus mark, in seconds. The interval should hold the mark 8 times in 10. Floor: a "
    "perfect forecast of the temperature, with first crack expected at the mean of the marked ones before. "
    "Straight line: the last 30 s carried on to the target's crack temperature. Shifted target: the target "
    "moved "
    "in time to the present temperature. Scaled rise: the target's rise against temperature times the "
    "present "
    "ratio.\n"
    "Exit code: 0 done, 1 a file could not be read or written, 2 the call is wrong or no file could be read.";

}  // namespace

void add_backtest(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "backtest", "Run many roasts in order, learning as it goes: how good forecast and verdict are");
    const auto call = std::make_shared<BacktestCall>();
    command->add_option("FILES", call->files, "roast files (.csv or .csv.gz), or folders of them")
        ->required();
    command
        ->add_option("--target", call->from.target,
                     "target of all of them (.json, or a roast file with marks)")
        ->required();
    command->add_option("--config", call->from.config, "configuration whose alarm and verdict limits to use");
    command->add_option("--lessons", call->from.lessons, "what earlier roasts taught, to begin with");
    command->add_option("--save-lessons", call->save_lessons, "write what is known after the last file");
    command->add_option("--plot", call->plot, "write a picture of the forecast's errors (SVG)");
    command->add_flag("--ignore-marks", call->ignore_marks,
                      "look at the temperatures only, and hold what is detected against the marks");
    command->add_flag("--json", call->json, "print one JSON object");
    command->footer(kBacktestFooter);
    command->callback([call, &exit_code] { exit_code = run_backtest(*call); });
}

}  // namespace drumwatch
