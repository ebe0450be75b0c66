#include "record/backup_reach.hpp"

#include <fmt/format.h>

#include <array>
#include <cstdint>

#include "record/database.hpp"

namespace drumwatch {
namespace {

/// How far a record goes: numbers that only grow, none of which comes from the clock.
struct Reach {
    std::uint64_t watch = 0;  ///< the newest; 0: none, or the file can't be read
    std::string begin;        ///< of that watch, which never changes and is no other watch's (the boot's id)
    std::array<std::int64_t, 4> further{};  ///< within it, and what came later
};

Reach reach_of(const std::string& path) {
    Reach reach;
    auto database = Database::open(path, OpenMode::read_only);
    if (!database) return reach;
    const auto newest = each_row(database.value(), "SELECT id, begin FROM watches ORDER BY id DESC LIMIT 1",
                                 [&](const Statement& row) {
                                     reach.watch = row.id(0);
                                     reach.begin = row.string(1);
                                 });
    const auto further = each_row(
        database.value(),
        fmt::format(
            "SELECT (SELECT to_ms FROM frames WHERE watch={} ORDER BY from_ms DESC LIMIT 1),"
            " (SELECT max(id) FROM roasts), (SELECT max(id) FROM events), (SELECT max(id) FROM commands)",
            reach.watch),
        [&](const Statement& row) {
            for (int i = 0; i < 4; ++i) reach.further[static_cast<std::size_t>(i)] = row.integer(i);
        });
    return newest && further ? reach : Reach{};
}

bool further(const Reach& one, const Reach& other) {
    return one.watch != other.watch ? one.watch > other.watch : one.further > other.further;
}

/// Whether the record at `path` went through the other's newest watch.
bool went_through(const std::string& path, const Reach& other) {
    auto database = Database::open(path, OpenMode::read_only);
    if (!database) return false;
    const auto begin =
        database.value().text(fmt::format("SELECT begin FROM watches WHERE id={}", other.watch));
    return begin && begin.value() == other.begin;
}

}  // namespace

std::vector<std::string> oldest_first(const std::vector<std::string>& by_name) {
    std::vector<Reach> reaches;
    for (const std::string& path : by_name) reaches.push_back(reach_of(path));
    // Which of later names must come before each.
    std::vector<std::vector<std::size_t>> before(by_name.size());
    for (std::size_t i = 0; i < by_name.size(); ++i) {
        for (std::size_t later = i + 1; later < by_name.size(); ++later) {
            if (reaches[later].watch != 0 && further(reaches[i], reaches[later]) &&
                went_through(by_name[i], reaches[later]))
                before[i].push_back(later);
        }
    }
    // What comes before another goes less far, so that there is no circle: each turn finds one.
    std::vector<bool> placed(by_name.size());
    std::vector<std::string> ordered;
    const auto ready = [&](std::size_t i) {
        if (placed[i]) return false;
        for (const std::size_t other : before[i])
            if (!placed[other]) return false;
        return true;
    };
    while (ordered.size() < by_name.size()) {
        std::size_t next = 0;
        while (!ready(next)) ++next;
        placed[next] = true;
        ordered.push_back(by_name[next]);
    }
    return ordered;
}

}  // namespace drumwatch
