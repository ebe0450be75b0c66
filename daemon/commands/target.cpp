// `drumwatch target`: check, show and edit; make stands in target_make.cpp.
#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/option_checks.hpp"
#include "commands/target_file.hpp"
#include "commands/target_make.hpp"
#include "core/counted.hpp"
#include "files/target_edit.hpp"
#include "files/target_json.hpp"

namespace drumwatch {
namespace {

struct TargetCall {
    std::vector<std::string> files;
    std::string file;
    std::string out;
    TargetEdits edits;
};

int check_one(const std::string& path) {
    const auto target = read_target(path);
    if (!target) return complain(target.error());
    const std::size_t doubts = say_doubts(target.value(), path);
    fmt::print("{}: {}, version {}, {}: can be followed{}\n", path, target.value().name,
               target.value().version, name(target.value().status),
               doubts > 0 ? fmt::format("; {} to look at", counted(doubts, "thing")) : std::string());
    return kDone;
}

int run_check(const TargetCall& call) {
    int worst = kDone;
    for (const std::string& path : call.files) worst = std::max(worst, check_one(path));
    return worst;
}

int run_show(const TargetCall& call) {
    const auto target = read_target(call.file);
    if (!target) return complain(target.error());
    fmt::print("{}", target_text(target.value()));
    say_doubts(target.value(), call.file);
    return kDone;
}

int run_edit(const TargetCall& call) {
    if (call.edits.empty()) return complain("nothing to change: see drumwatch target edit --help");
    const auto target = read_target(call.file);
    if (!target) return complain(target.error());
    auto edited = edit_target(target.value(), call.edits);
    if (!edited) return complain(fmt::format("{}: {}; nothing was written", call.file, edited.error()));
    const int code = write_version(call.out, edited.value());
    if (code == kDone) say_doubts(edited.value(), call.out);
    return code;
}

void add_edit(CLI::App& parent, int& exit_code) {
    CLI::App* command =
        parent.add_subcommand("edit", "Change a target; what comes out is its next version, on trial");
    const auto call = std::make_shared<TargetCall>();
    TargetEdits& edits = call->edits;
    command->add_option("FILE", call->file, "target file, or a roast file with marks")->required();
    command->add_option("--out", call->out, "file to write (.json); a target that is there is kept beside it")
        ->required();
    command->add_option("--point", edits.points, "SECONDS=DEGREES: the curve has this °C then");
    command
        ->add_option("--width", edits.width_s, "seconds over which the curve beside a point follows it (20)")
        ->check(CLI::Range(0.0, 600.0));
    command->add_option("--move", edits.moves,
                        "NUMBER:KEY=VALUE,...: change a move, such as 2:to=65,at_s=80");
    command->add_option("--add-move", edits.new_moves,
                        "CONTROL:KEY=VALUE,...: such as burner:to=70,unit=%,at_s=65");
    command->add_option("--remove-move", edits.without_moves, "NUMBER of a move");
    command->add_option("--tolerance", edits.tolerance, "KEY=VALUE,...: such as bean_c=1.4");
    command->add_option("--drop", edits.drop, "KEY=VALUE: the drop rule, such as bean_c=212");
    command->add_option("--weight-loss", edits.weight_loss,
                        "LOW:HIGH in percent of the charge, such as 13.5:15.5, or none");
    command->add_option("--colour", edits.colour, "LOW:HIGH by the site's own meter, such as 55:60, or none");
    auto* approved = command->add_option("--approved-by", edits.approved_by, "who approves this version")
                         ->check(readable_name());
    command->add_flag("--retire", edits.retire, "not to be chosen any more")->excludes(approved);
    command->callback([call, &exit_code] { exit_code = run_edit(*call); });
}

}  // namespace

void add_target(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand("target", "Make, check, show or change a target");
    command->require_subcommand(1);
    add_target_make(*command, exit_code);
    CLI::App* check = command->add_subcommand("check", "Say what is wrong with targets, and what to look at");
    const auto call = std::make_shared<TargetCall>();
    check->add_option("FILES", call->files, "target files, or roast files with marks")->required();
    check->callback([call, &exit_code] { exit_code = run_check(*call); });
    CLI::App* show =
        command->add_subcommand("show", "Print milestones, numbered moves, drop rule and limits");
    show->add_option("FILE", call->file, "target file, or a roast file with marks")->required();
    show->callback([call, &exit_code] { exit_code = run_show(*call); });
    add_edit(*command, exit_code);
}

}  // namespace drumwatch
