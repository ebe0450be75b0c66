#include "commands/target_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "core/target_words.hpp"
#include "core/words.hpp"
#include "files/target_doubts.hpp"
#include "files/target_json.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

/// Whole or not at all: written beside and put in place.
bool write_whole(const std::string& path, const std::string& text) {
    const std::string beside = path + ".new";
    const int file = open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (file < 0) return false;
    const bool written =
        write(file, text.data(), text.size()) == static_cast<ssize_t>(text.size()) && fsync(file) == 0;
    close(file);
    std::error_code error;
    if (written) fs::rename(beside, path, error);
    if (written && !error) return true;
    fs::remove(beside, error);
    return false;
}

bool holds_something(const std::string& path) {
    std::error_code error;
    return fs::exists(path, error) && !(fs::is_regular_file(path, error) && fs::file_size(path, error) == 0);
}

/// An exit code; kDone: the way is free.
int keep_older(const std::string& path, Target& target) {
    const auto older = read_target(path);
    if (!older) return complain(path + " is there already and is no target: name another file", kWrongInput);
    const int version = older.value().version;
    const std::string kept = fs::path(path).replace_extension(fmt::format(".v{}.json", version)).string();
    std::error_code error;
    if (fs::exists(kept, error))
        return complain(fmt::format("{} is there already: name another file with --out", kept), kWrongInput);
    fs::rename(path, kept, error);
    if (error)
        return complain(fmt::format("{} can't be kept as {}: {}", path, kept, error.message()), kFailed);
    target.version = std::max(target.version, version + 1);
    fmt::print("kept version {} as {}\n", version, kept);
    return kDone;
}

std::string milestone_line(Milestone which, const TargetMilestone& milestone) {
    std::string line = fmt::format("  {:14} {:>6}", words(which), minutes_seconds(milestone.at_s));
    if (milestone.bean_c) line += fmt::format("  {:5.1f} °C", *milestone.bean_c);
    if (milestone.spread_s) line += fmt::format("  (spread {:.1f} s)", *milestone.spread_s);
    return line + "\n";
}

}  // namespace

int write_version(const std::string& path, Target& target) {
    if (!path.ends_with(".json"))
        return complain(fmt::format("--out {}: a target's file ends in .json", path), kWrongInput);
    if (holds_something(path))
        if (const int code = keep_older(path, target); code != kDone) return code;
    if (!write_whole(path, write_target(target)))
        return complain(
            path +
                ": could not be written; is the folder there, may you write to it, and is the disk not full?",
            kFailed);
    fmt::print("wrote {}: {}, version {}, {}\n", path, target.name, target.version, name(target.status));
    return kDone;
}

std::size_t say_doubts(const Target& target, const std::string& path) {
    const auto sentences = sentences_about(target, path);
    for (const std::string& sentence : sentences) fmt::print(stderr, "{}\n", sentence);
    return sentences.size();
}

std::string target_text(const Target& target) {
    std::string text = fmt::format("{}, version {}, {}", target.name, target.version, name(target.status));
    if (!target.approved_by.empty()) text += " by " + target.approved_by;
    text += "\n";
    if (!target.station.empty()) text += fmt::format("station {}\n", target.station);
    if (!target.coffee.empty()) text += fmt::format("coffee {}\n", target.coffee);
    text += fmt::format("curve of {} points, {} long\nmilestones\n", target.points.size(),
                        minutes_seconds(target.points.back().t_s));
    for (std::size_t i = 0; i < kMilestones; ++i)
        if (target.milestones[i]) text += milestone_line(static_cast<Milestone>(i), *target.milestones[i]);
    text += target.moves.empty() ? "no planned moves\n" : "moves\n";
    for (std::size_t i = 0; i < target.moves.size(); ++i)
        text += fmt::format("  {:2} {}\n", i + 1, words(target.moves[i]));
    if (target.drop) text += fmt::format("drop {}\n", words(*target.drop));
    if (target.weight_loss_pct)
        text += fmt::format("weight loss {:g} to {:g} %\n", target.weight_loss_pct->low,
                            target.weight_loss_pct->high);
    if (target.colour) text += fmt::format("colour {:g} to {:g}\n", target.colour->low, target.colour->high);
    const Tolerance& limits = target.tolerance;
    text += fmt::format("corridor {:g} °C, held beyond {:g} °C, judged from {:g} s on\n", limits.bean_c,
                        limits.hold_c, limits.from_s);
    return text;
}

}  // namespace drumwatch
