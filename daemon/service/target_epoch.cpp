#include "service/target_epoch.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "service/local_time.hpp"

namespace drumwatch {

std::optional<ProbeRow> bean_epoch(const std::vector<ProbeRow>& log) {
    const auto newest = std::find_if(log.rbegin(), log.rend(), [](const ProbeRow& row) {
        return row.channel == "bean" && begins_epoch(row.act);
    });
    return newest == log.rend() ? std::nullopt : std::optional(*newest);
}

std::string epoch_doubt(const std::vector<ProbeRow>& log, const std::string& target, WallTime stored) {
    const auto epoch = bean_epoch(log);
    if (!epoch || stored.unix_ms > epoch->at.unix_ms) return {};
    const bool confirmed = std::any_of(log.begin(), log.end(), [&](const ProbeRow& row) {
        return row.act == ProbeAct::target_confirmed && row.note == target &&
               row.at.unix_ms > epoch->at.unix_ms;
    });
    if (confirmed) return {};
    return fmt::format(
        "Its temperatures are from before the bean probe was {} on {}: confirm it, or make it anew.",
        name(epoch->act), local_date(epoch->at));
}

}  // namespace drumwatch
