// `backup`, `restore` and `verify`: the record's keeping.
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <iostream>
#include <nlohmann/json.hpp>

#include "commands/commands.hpp"
#include "record/backup_folder.hpp"
#include "record/restore.hpp"
#include "record/verify.hpp"

namespace drumwatch {

namespace {

int fail(const std::string& sentence, int code = kFailed) {
    fmt::print(stderr, "{}\n", sentence);
    return code;
}

WallTime now() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

int run_backup(const BackupOrder& order) {
    const auto done = make_backup(order, now());
    if (!done) return fail(done.error());
    fmt::print("{}: {} roasts, verified\n", done.value().path, done.value().roasts);
    for (const std::string& path : done.value().removed) fmt::print("removed {}, which is older\n", path);
    return kDone;
}

struct RestoreCall {
    std::string backup;
    std::string record;
    bool yes = false;
};

std::string what_is_lost(const RestoreLook& look) {
    if (!look.record_trouble.empty())
        return "the record that is there can't be compared (" + look.record_trouble + ")";
    std::string numbers;
    for (const std::uint64_t id : look.lost_roasts)
        numbers += fmt::format("{}{}", numbers.empty() ? "" : ", ", id);
    if (look.lost > look.lost_roasts.size()) numbers += " and more";
    return fmt::format("the record that is there has {} roasts that the backup has not, or has otherwise: {}",
                       look.lost, numbers);
}

/// Asks only where something would be missing afterwards.
bool agreed(const RestoreLook& look, bool yes) {
    if (look.lost == 0 && look.record_trouble.empty()) return true;
    fmt::print(stderr, "{}\n", what_is_lost(look));
    if (yes) return true;
    if (isatty(STDIN_FILENO) == 0) {
        fmt::print(stderr,
                   "nothing was changed: say --yes to restore all the same; the record there is set aside\n");
        return false;
    }
    fmt::print(stderr, "It is set aside, not deleted. Restore all the same? Type yes: ");
    std::string answer;
    std::getline(std::cin, answer);
    return answer == "yes";
}

int run_restore(const RestoreCall& call) {
    const auto look = look_before_restore(call.backup, call.record);
    if (!look) return fail(look.error(), kWrongInput);
    if (!agreed(look.value(), call.yes)) return kFailed;
    const auto aside = restore(call.backup, call.record);
    if (!aside) return fail(aside.error());
    fmt::print("{}: restored from {}, {} roasts\n", call.record, call.backup, look.value().roasts);
    if (!aside.value().empty()) fmt::print("the record that was there is {}\n", aside.value());
    return kDone;
}

void print_json(const VerifyFound& found) {
    const nlohmann::ordered_json json = {{"whole", found.damage.empty()},
                                         {"watches", found.watches},
                                         {"roasts", found.roasts},
                                         {"frame_rows", found.frame_rows},
                                         {"damage", found.damage}};
    fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
}

int run_verify(const std::string& path, bool json) {
    const bool watched = isatty(STDERR_FILENO) != 0;
    const auto found = verify_record(path, [watched](std::uint64_t done, std::uint64_t all) {
        if (watched) fmt::print(stderr, "\r{} of {} watches", done, all);
    });
    if (watched) fmt::print(stderr, "\n");
    if (!found) return fail(found.error(), kWrongInput);
    const VerifyFound& what = found.value();
    if (json) {
        print_json(what);
    } else {
        for (const std::string& sentence : what.damage) fmt::print("{}\n", sentence);
        fmt::print("{}: {} watches, {} roasts, {} rows of frames: {}\n", path, what.watches, what.roasts,
                   what.frame_rows, what.damage.empty() ? "whole" : "damaged");
    }
    return what.damage.empty() ? kDone : kFailed;
}

}  // namespace

void add_backup(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand("backup", "Put a verified copy of the record into a folder");
    const auto order = std::make_shared<BackupOrder>();
    command->add_option("RECORD", order->record, "the record's database file; a daemon may be writing it")
        ->required();
    command->add_option("--to", order->folder, "folder, on another disk than the record")->required();
    command->add_option("--keep", order->keep, "how many backups to keep there, the newest; left out: 14")
        ->check(CLI::Range(1, 10'000));
    command->add_flag("--same-disk", order->same_disk, "the folder may be on the record's own file system");
    command->callback([order, &exit_code] { exit_code = run_backup(*order); });
}

void add_restore(CLI::App& app, int& exit_code) {
    CLI::App* command =
        app.add_subcommand("restore", "Put a backup in the place of the record, which is set aside");
    const auto call = std::make_shared<RestoreCall>();
    command->add_option("BACKUP", call->backup, "the backup's file")->required();
    command->add_option("RECORD", call->record, "where the record is to be; its daemon must be stopped")
        ->required();
    command->add_flag("--yes", call->yes, "also where the record there has roasts that the backup has not");
    command->callback([call, &exit_code] { exit_code = run_restore(*call); });
}

void add_verify(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand("verify", "Look whether a record or a backup is whole");
    const auto path = std::make_shared<std::string>();
    const auto json = std::make_shared<bool>(false);
    command->add_option("RECORD", *path, "the record's database file, or a backup")->required();
    command->add_flag("--json", *json, "print one JSON object");
    command->callback([path, json, &exit_code] { exit_code = run_verify(*path, *json); });
}

}  // namespace drumwatch
