#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/rerun_watch.hpp"
#include "commands/write_out.hpp"
#include "files/file_bytes.hpp"
#include "files/roast_csv.hpp"
#include "record/reader.hpp"
#include "service/export_roast.hpp"

namespace drumwatch {

namespace {

struct ExportCall {
    std::string record;
    std::uint64_t roast = 0;
    std::uint64_t watch = 0;  ///< 0: a roast
    std::string out;
};

int export_watch(const ExportCall& call) {
    if (call.out.empty() && isatty(STDOUT_FILENO) != 0)
        return complain("a watch is written packed: name a file with --out, such as watch.jsonl.gz", kFailed);
    const auto file = load_watch(call.record, call.watch);
    if (!file) return complain(file.error(), kFailed);
    const auto packed = pack_gzip(watch_file_text(file.value()));
    return packed ? write_new(call.out, *packed)
                  : complain("there is not enough memory to pack the watch", kFailed);
}

int run_export(const ExportCall& call) {
    if (call.watch > 0) return export_watch(call);
    const auto reader = RecordReader::open(call.record);
    if (!reader) return complain(reader.error(), kFailed);
    std::uint64_t roast = call.roast;
    if (roast == 0) {
        const auto newest = reader.value()->roasts(1, 0);
        if (!newest) return complain(newest.error(), kFailed);
        if (newest.value().empty())
            return complain(fmt::format("{}: holds no roast yet", call.record), kFailed);
        roast = newest.value()[0].id;
    }
    const auto file = export_roast(*reader.value(), roast);
    return file ? write_new(call.out, write_roast_csv(file.value())) : complain(file.error(), kFailed);
}

}  // namespace

void add_export(CLI::App& app, int& exit_code) {
    CLI::App* command =
        app.add_subcommand("export", "Write a recorded roast as a CSV file, or a whole watch without loss");
    const auto call = std::make_shared<ExportCall>();
    command->add_option("RECORD", call->record, "the record's database file")->required();
    auto* roast = command->add_option("--roast", call->roast, "number of the roast; left out: the newest");
    command
        ->add_option("--watch", call->watch,
                     "number of a watch: all that went into the engine and came out, as JSON lines in gzip")
        ->check(CLI::PositiveNumber)
        ->excludes(roast);
    command->add_option("--out", call->out,
                        "file to write, which is not there yet; left out: standard output");
    command->callback([call, &exit_code] { exit_code = run_export(*call); });
}

}  // namespace drumwatch
