#include "commands/target_make.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/configuration.hpp"
#include "commands/option_checks.hpp"
#include "commands/target_file.hpp"
#include "core/counted.hpp"
#include "core/target_words.hpp"
#include "files/target_json.hpp"
#include "rerun/source_roast.hpp"
#include "roast/target/seed.hpp"

namespace drumwatch {
namespace {

struct MakeCall {
    std::vector<std::string> from;
    std::string from_sample;
    std::string base;
    std::string out;
    std::string approved_by;
    std::string name;
    std::string coffee;
    std::string station;
    std::string config;
    double charge_kg = 0;
};

Result<SourceRoast> read_source(const std::string& path) {
    const auto file = read_roast_csv(path);
    if (!file) return Error{file.error()};
    for (const std::string& warning : file.value().warnings) fmt::print(stderr, "{}: {}\n", path, warning);
    return source_roast(file.value(), path);
}

/// Those that can be used; of the others is said why not.
std::vector<SourceRoast> read_sources(const std::vector<std::string>& paths) {
    std::vector<SourceRoast> roasts;
    for (const std::string& path : paths) {
        auto roast = read_source(path);
        if (!roast) {
            fmt::print(stderr, "{}\n", roast.error());
            continue;
        }
        const auto twin = std::find_if(roasts.begin(), roasts.end(), [&](const SourceRoast& other) {
            return other.bean == roast.value().bean;
        });
        if (twin == roasts.end()) {
            roasts.push_back(std::move(roast.value()));
        } else {
            fmt::print(stderr, "{}: the same roast as {}: it counts once\n", path, twin->name);
        }
    }
    return roasts;
}

void put_labels(Target& target, const MakeCall& call) {
    target.name = call.name.empty() ? std::filesystem::path(call.out).stem().string() : call.name;
    if (!call.coffee.empty()) target.coffee = call.coffee;
    if (!call.station.empty()) target.station = call.station;
    if (call.charge_kg > 0) target.charge_kg = call.charge_kg;
    target.approved_by = call.approved_by;
    target.status = call.approved_by.empty() ? TargetStatus::trial : TargetStatus::approved;
}

/// Writes it if it can be read back; the report goes to stdout.
int finish(Target target, const MakeCall& call) {
    put_labels(target, call);
    if (const auto back = parse_target(write_target(target)); !back)
        return complain("what these roasts make is no target: " + back.error());
    const int code = write_version(call.out, target);
    if (code != kDone) return code;
    fmt::print("{}", target_text(target));
    say_doubts(target, call.out);
    return kDone;
}

int make_from_roasts(const MakeCall& call, const Tolerance& site) {
    const std::vector<SourceRoast> roasts = read_sources(call.from);
    if (roasts.empty()) return complain("none of the roasts can be used: nothing was written");
    const MadeTarget made = make_target(roasts, site);
    std::vector<std::string> names;
    for (const SourceRoast& roast : roasts) names.push_back(roast.name);
    fmt::print("made from {} of {}\n", counted(roasts.size(), "roast"), call.from.size());
    for (const MakingNote& note : made.notes) fmt::print("  {}\n", words(note, made.target, names));
    return finish(made.target, call);
}

/// What the other machine's hands did, as intent: its levels mean nothing here.
void print_intent(const SourceRoast& sample) {
    fmt::print("times and intent from {}; temperatures and levels stay this station's\n", sample.name);
    for (std::size_t i = 0; i < kControls; ++i)
        for (const LevelChange& change : level_changes(sample.controls[i].readings, 1))
            if (change.at_s >= 0 && change.at_s < sample.drop_s())
                fmt::print("  the sample's {} went {} {}\n", name(static_cast<Control>(i)),
                           change.to > change.from ? "up" : "down",
                           words(Trigger{TriggerKind::at_s, change.at_s}));
}

int make_from_sample(const MakeCall& call, const Tolerance& site) {
    if (!call.approved_by.empty())
        return complain(
            "a target that a sample roast seeded is on trial: roast and taste it, then approve it with "
            "drumwatch target edit --approved-by");
    const auto base = read_target(call.base, site);
    if (!base) return complain(base.error());
    const auto sample = read_source(call.from_sample);
    if (!sample) return complain(sample.error());
    print_intent(sample.value());
    return finish(seeded_target(base.value(), sample.value()), call);
}

int run_make(MakeCall call) {
    Tolerance site;
    if (!call.config.empty()) {
        const auto [config, code] = load_configuration(call.config);
        if (!config) return code;
        site = config->verdict;
        if (call.station.empty()) call.station = config->station;
    }
    if (!call.from_sample.empty() && call.base.empty())
        return complain(
            "a sample roast of another machine gives times, never temperatures: name a target or a roast of "
            "this station with --base");
    if (!call.from_sample.empty()) return make_from_sample(call, site);
    if (call.from.empty()) return complain("name one or several roasts with --from");
    return make_from_roasts(call, site);
}

}  // namespace

void add_target_make(CLI::App& parent, int& exit_code) {
    CLI::App* command = parent.add_subcommand("make", "Make a target from one or several good roasts");
    const auto call = std::make_shared<MakeCall>();
    auto* from =
        command->add_option("--from", call->from, "roast files (.csv or .csv.gz), the charge marked or not");
    auto* sample =
        command->add_option("--from-sample", call->from_sample,
                            "sample roast of another machine: its times and intent, never its temperatures");
    sample->excludes(from);
    command
        ->add_option("--base", call->base,
                     "target or roast of this station, whose temperatures a sample times")
        ->needs(sample);
    command->add_option("--out", call->out, "file to write (.json); a target that is there is kept beside it")
        ->required();
    command->add_option("--approved-by", call->approved_by, "who approves it; left out: a trial target")
        ->check(readable_name());
    command->add_option("--name", call->name, "name of the target; left out: the file's");
    command->add_option("--coffee", call->coffee, "name of the coffee");
    command->add_option("--station", call->station, "name of the station; left out: the configuration's");
    command->add_option("--charge-kg", call->charge_kg, "weight of the charge")
        ->check(number_between(0.01, 1000, "kg"));
    command->add_option("--config", call->config, "configuration whose limits and station to use");
    command->callback([call, &exit_code] { exit_code = run_make(*call); });
}

}  // namespace drumwatch
