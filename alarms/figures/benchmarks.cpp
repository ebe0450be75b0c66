#include "alarms/figures/benchmarks.hpp"

#include <array>

namespace drumwatch {

namespace {

constexpr double kMs = 1000;
constexpr double kPercent = 100;

constexpr std::string_view kEemua = "EEMUA 191, secondary sources; 2 from memory";
constexpr std::string_view kPerDay = "ANSI/ISA-18.2-2009 (150) and IEC 62682:2014 (144), secondary source";
constexpr std::string_view kIsa = "ANSI/ISA-18.2, secondary source";
constexpr std::string_view kMemory = "ANSI/ISA-18.2, from memory";
constexpr std::string_view kStaleSource = "ANSI/ISA-18.2, secondary source; 5 from memory";
constexpr std::string_view kSplit = "EEMUA 191, secondary source; of 16 alarms 1 high: judgement";
constexpr std::string_view kOwn = "our own goal, judgement";

double number(std::size_t count) { return static_cast<double>(count); }

BenchmarkStand up_to(std::optional<double> value, double good) {
    if (!value) return BenchmarkStand::not_judged;
    return *value <= good ? BenchmarkStand::within : BenchmarkStand::beyond;
}

BenchmarkStand under(std::optional<double> value, double bound) {
    if (!value) return BenchmarkStand::not_judged;
    return *value < bound ? BenchmarkStand::within : BenchmarkStand::beyond;
}

/// "About" is met a little above as well, and what lies before the second bound is worth a look.
BenchmarkStand up_to(std::optional<double> value, double good, double most) {
    const BenchmarkStand stand = up_to(value, most);
    return stand == BenchmarkStand::within && *value > good ? BenchmarkStand::look : stand;
}

std::optional<double> percent(std::optional<double> share) {
    return share ? std::optional(*share * kPercent) : std::nullopt;
}

using Rows = std::vector<Benchmark>;

void add_rates(Rows& rows, const AlarmFigures& f) {
    rows.push_back({"per_10_minutes", "alarms in 10 minutes, mean", f.per_10_minutes, "",
                    "about 1 very likely acceptable, about 2 the most manageable", kEemua,
                    up_to(f.per_10_minutes, 1, 2)});
    rows.push_back({"per_10_minutes_roasting", "the same while a batch is in the drum",
                    f.per_10_minutes_roasting, "",
                    "about 1 very likely acceptable, about 2 the most manageable", kEemua,
                    up_to(f.per_10_minutes_roasting, 1, 2)});
    rows.push_back({"most_in_10_minutes", "most in any 10 minutes", number(f.most_in_10_minutes), "",
                    "at most 10", kMemory, up_to(number(f.most_in_10_minutes), 10)});
    rows.push_back({"crowded_share", "time with more than 10 in the last 10 minutes",
                    percent(f.crowded_share), "%", "less than about 1", kMemory,
                    under(percent(f.crowded_share), 1)});
    rows.push_back({"per_day", "alarms a day, mean of the days watched", f.per_day, "", "at most 144 to 150",
                    kPerDay, up_to(f.per_day, 144, 150)});
    rows.push_back({"most_in_a_day", "most in one day", number(f.most_in_a_day), "", "at most 144 to 150",
                    kPerDay, up_to(number(f.most_in_a_day), 144, 150)});
    rows.push_back(
        {"per_roast", "alarms a roast, mean", f.per_roast, "", "at most 1", kOwn, up_to(f.per_roast, 1)});
    rows.push_back({"per_good_roast", "the same of roasts with the verdict clear", f.per_good_roast, "", "0",
                    kOwn, up_to(f.per_good_roast, 0)});
}

void add_floods(Rows& rows, const AlarmFigures& f) {
    rows.push_back({"floods", "floods (over 10 in 10 minutes, until under 5)", number(f.floods.size()), "",
                    "0", kOwn, up_to(number(f.floods.size()), 0)});
    rows.push_back({"longest_flood", "longest flood", static_cast<double>(f.longest_flood_ms) / kMs / 60,
                    "min", "", "", BenchmarkStand::not_judged});
    rows.push_back({"flood_share", "time in flood", percent(f.flood_share), "%", "less than about 1", kIsa,
                    under(percent(f.flood_share), 1)});
}

void add_nuisances(Rows& rows, const AlarmFigures& f) {
    rows.push_back({"chattering", "times a rule chattered (3 onsets in 1 minute)", number(f.chattering), "",
                    "0", kIsa, up_to(number(f.chattering), 0)});
    rows.push_back({"fleeting", "fleeting (over within 10 s, unaided)", number(f.fleeting), "", "0", kIsa,
                    up_to(number(f.fleeting), 0)});
    rows.push_back({"most_stale_in_a_day", "stale (active over 24 h), most on one day",
                    number(f.most_stale_in_a_day), "", "less than 5", kStaleSource,
                    under(number(f.most_stale_in_a_day), 5)});
    rows.push_back({"stale_roasts", "active over two whole roasts", number(f.stale_roasts), "", "0", kOwn,
                    up_to(number(f.stale_roasts), 0)});
    rows.push_back({"reshelved", "shelved again more than twice in a roast", number(f.reshelved.size()), "",
                    "0", kOwn, up_to(number(f.reshelved.size()), 0)});
    rows.push_back({"nameless", "shelved or out of service without a name", number(f.nameless), "", "0",
                    kMemory, up_to(number(f.nameless), 0)});
    rows.push_back({"top_ten_share", "share of the ten most frequent rules", kPercent * f.top_ten_share, "%",
                    "1 to 5 where there are hundreds of rules; with these few only the order tells", kMemory,
                    BenchmarkStand::not_judged});
}

std::size_t sum(const ByPriority& counts) { return counts[0] + counts[1] + counts[2]; }

std::optional<double> share(const ByPriority& counts, std::size_t which) {
    if (sum(counts) == 0) return std::nullopt;
    return kPercent * number(counts[which]) / number(sum(counts));
}

BenchmarkStand split(const ByPriority& counts, std::size_t which, double most) {
    const auto value = share(counts, which);
    const bool few = which == 0 && counts[0] <= 1;
    return value && few ? BenchmarkStand::within : up_to(value, most);
}

void add_priorities(Rows& rows, const AlarmFigures& f) {
    constexpr auto kNone = BenchmarkStand::not_judged;
    const ByPriority& rules = f.configured;
    rows.push_back({"rules_high", "rules of high priority", share(rules, 0), "%", "about 5, or 1 alarm",
                    kSplit, split(rules, 0, 5)});
    rows.push_back({"rules_medium", "rules of medium priority", share(rules, 1), "%", "about 15, at most 20",
                    kSplit, split(rules, 1, 20)});
    rows.push_back({"rules_low", "rules of low priority", share(rules, 2), "%", "about 80", kSplit, kNone});
    rows.push_back({"raised_high", "alarms of high priority", share(f.by_priority, 0), "%", "", "", kNone});
    rows.push_back(
        {"raised_medium", "alarms of medium priority", share(f.by_priority, 1), "%", "", "", kNone});
    rows.push_back({"raised_low", "alarms of low priority", share(f.by_priority, 2), "%", "", "", kNone});
}

void add_answers(Rows& rows, const AlarmFigures& f) {
    constexpr auto kNone = BenchmarkStand::not_judged;
    rows.push_back(
        {"median_acknowledge", "time to acknowledge, median", f.median_acknowledge_s, "s", "", "", kNone});
    rows.push_back({"percentile_90_acknowledge", "the same, 90 in 100 within", f.percentile_90_acknowledge_s,
                    "s", "", "", kNone});
    rows.push_back({"unacknowledged", "never acknowledged", number(f.unacknowledged), "", "", "", kNone});
}

}  // namespace

std::string_view name(BenchmarkStand stand) {
    static constexpr std::array<std::string_view, 4> kTable{"within", "look", "beyond", "not_judged"};
    const auto index = static_cast<std::size_t>(stand);
    return index < kTable.size() ? kTable[index] : "?";
}

std::vector<Benchmark> benchmarks(const AlarmFigures& figures) {
    Rows rows;
    add_rates(rows, figures);
    add_floods(rows, figures);
    add_nuisances(rows, figures);
    add_priorities(rows, figures);
    add_answers(rows, figures);
    return rows;
}

}  // namespace drumwatch
