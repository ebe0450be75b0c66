// `backup`, `restore` and `verify`: the record's keeping.
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <iostream>
#include <nlohmann/json.hpp>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "core/counted.hpp"
#include "record/backup_folder.hpp"
#include "record/restore.hpp"
#include "record/verify.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kLinkShown = 16;  // 64 bits: enough for a note on paper

WallTime now() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

int run_backup(const BackupOrder& order) {
    const auto done = make_backup(order, now());
    if (!done) return complain(done.error(), kFailed);
    fmt::print("{}: {}, verified\n", done.value().path, counted(done.value().roasts, "roast"));
    for (const std::string& path : done.value().removed) fmt::print("removed {}, which is older\n", path);
    return kDone;
}

struct RestoreCall {
    std::string backup;
    std::string record;
    bool yes = false;
};

std::string what_is_lost(const RestoreLook& look) {
    if (look.record_trouble.empty() && look.lost.count == 0) return {};
    if (!look.record_trouble.empty())
        return "the record that is there can't be compared (" + look.record_trouble + ")";
    std::string numbers;
    for (const std::uint64_t id : look.lost.newest)
        numbers += fmt::format("{}{}", numbers.empty() ? "" : ", ", id);
    if (look.lost.count > look.lost.newest.size()) numbers += " and more";
    return fmt::format("the record that is there has {} that the backup has not, or has otherwise: {}",
                       counted(look.lost.count, "roast"), numbers);
}

/// Asks only where something would be missing afterwards, or was changed by another hand.
bool agreed(const RestoreLook& look, bool yes) {
    const std::string lost = what_is_lost(look);
    if (lost.empty() && look.changed.empty()) return true;
    for (const std::string& sentence : look.changed) fmt::print(stderr, "the backup: {}\n", sentence);
    if (!lost.empty()) fmt::print(stderr, "{}\n", lost);
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
    const auto place = RecordPlace::take(call.record);
    if (!place) return complain(place.error(), kFailed);
    if (!place.value().finished().empty()) fmt::print(stderr, "{}\n", place.value().finished());
    const auto look = place.value().look(call.backup);
    if (!look) return complain(look.error(), kWrongInput);
    if (!agreed(look.value(), call.yes)) return kFailed;
    const auto aside = place.value().restore(call.backup);
    if (!aside) return complain(aside.error(), kFailed);
    fmt::print("{}: restored from {}, {}\n", call.record, call.backup, counted(look.value().roasts, "roast"));
    if (!aside.value().empty()) fmt::print("the record that was there is {}\n", aside.value());
    return kDone;
}

void print_json(const VerifyFound& found) {
    const nlohmann::ordered_json json = {
        {"whole", found.damage.empty()}, {"as_sealed", found.changed.empty()}, {"watches", found.watches},
        {"roasts", found.roasts},        {"frame_rows", found.frame_rows},     {"seals", found.seals},
        {"unsealed", found.unsealed},    {"newest_link", found.newest_link},   {"damage", found.damage},
        {"changed", found.changed}};
    fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
}

void print_found(const std::string& path, const VerifyFound& found) {
    for (const auto* sentences : {&found.damage, &found.changed})
        for (const std::string& sentence : *sentences) fmt::print("{}\n", sentence);
    fmt::print("{}: {}, {}, {} of frames, {}: {}\n", path, counted(found.watches, "watch", "watches"),
               counted(found.roasts, "roast"), counted(found.frame_rows, "row"), counted(found.seals, "seal"),
               !found.damage.empty()    ? "damaged"
               : !found.changed.empty() ? "whole, but not as it was sealed"
                                        : "whole, and as it was sealed");
    if (found.unsealed > 0)
        fmt::print("{} not sealed yet: a roast is sealed some minutes after its drop\n", found.unsealed);
    if (found.seals > 0)
        fmt::print(
            "newest seal: {} {} (noted elsewhere, --link {} shows later that the chain is still this one)\n",
            found.seals, found.newest_link.substr(0, kLinkShown), found.newest_link.substr(0, kLinkShown));
}

struct VerifyCall {
    VerifyOrder order;
    bool json = false;
};

int run_verify(const VerifyCall& call) {
    const bool watched = isatty(STDERR_FILENO) != 0;
    VerifyOrder order = call.order;
    order.progress = [watched](std::uint64_t done, std::uint64_t all) {
        if (watched) fmt::print(stderr, "\r{} of {} sealed roasts", done, all);
    };
    const auto found = verify_record(order);
    if (watched) fmt::print(stderr, "\n");
    if (!found) return complain(found.error(), kWrongInput);
    if (call.json) {
        print_json(found.value());
    } else {
        print_found(order.path, found.value());
    }
    return found.value().good() ? kDone : kFailed;
}

/// The beginning of a link is enough, but not so short a one that it fits by chance.
std::string bad_link(const std::string& text) {
    const bool all_hex = text.find_first_not_of("0123456789abcdef") == std::string::npos;
    if (all_hex && text.size() >= kLinkShown && text.size() <= 64) return {};
    return fmt::format("a link is {} to 64 digits of 0-9 and a-f, as verify prints it", kLinkShown);
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
    CLI::App* command =
        app.add_subcommand("verify", "Look whether a record or a backup is whole and as it was sealed");
    const auto call = std::make_shared<VerifyCall>();
    command->add_option("RECORD", call->order.path, "the record's database file, or a backup")->required();
    command
        ->add_option("--link", call->order.noted_link,
                     "the link of a seal that was noted before: complain where the chain no longer holds it")
        ->check(bad_link);
    command->add_flag("--json", call->json, "print one JSON object");
    command->callback([call, &exit_code] { exit_code = run_verify(*call); });
}

}  // namespace drumwatch
