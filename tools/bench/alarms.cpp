// How well the alarms do on made days, good ones and such with a trouble each: bench_alarms [STATIONS
// [tuning|held [LEFT_OUT [show]]]]. LEFT_OUT: so many stations before the first.
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <string>

#include "support/made_roasts/alarm_figures.hpp"

using namespace drumwatch;

namespace {

double at_share(std::vector<double> values, double share) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

std::string counted(const RuleCounts& counts) {
    std::string text;
    for (std::size_t i = 0; i < counts.size(); ++i)
        if (counts[i] > 0)
            text +=
                fmt::format("{}{} {}", text.empty() ? "" : ", ", name(static_cast<AlarmRule>(i)), counts[i]);
    return text.empty() ? "none" : text;
}

void print_good(const GoodFigures& good) {
    fmt::print("{} good roasts ({} turned away, {} not seen): {} alarms in {} of them, {} high; {}\n",
               good.roasts, good.turned_away, good.not_seen, good.alarms, good.with_alarm, good.high,
               counted(good.by_rule));
    fmt::print("prompts a roast:");
    for (std::size_t i = 0; i < good.prompts.size(); ++i)
        fmt::print(" {} {:.1f}", name(static_cast<PromptKind>(i)),
                   static_cast<double>(good.prompts[i]) / good.roasts);
    fmt::print("\n");
}

void print_trouble(Trouble trouble, const TroubleFigures& got) {
    fmt::print(
        "| {} | {} | {} of {} | {} | {} | {} | {:.1f}, {:.1f} | {:.1f}, {:.1f} of {:g} | {} (strange {}), "
        "before {}, high "
        "{} |\n",
        name(trouble), trouble == Trouble::late_move ? "(prompt)" : name(name_of(trouble).rule), got.found,
        got.days, got.in_time, got.once, got.first_right, at_share(got.after_onset_s, 0.5),
        at_share(got.after_onset_s, 1), at_share(got.after_truth_s, 0.5), at_share(got.after_truth_s, 1),
        name_of(trouble).within_s, counted(got.besides), got.strange, got.before, got.high_before);
    if (trouble == Trouble::late_move)
        fmt::print("  drift was due in {}, right in {}\n", got.drift_due, got.drift_right);
}

/// Each day's alarms.
void show(const MadeStation& station) {
    for (int kind = -1; kind < kTroubles; ++kind) {
        const auto trouble = static_cast<Trouble>(kind);
        const MadeDay day = kind < 0 ? good_day(station) : troubled_day(station, trouble);
        const HeardDay heard = hear(day);
        fmt::print("station {} {}:", station.seed, kind < 0 ? "good" : name(trouble));
        for (const HeardAlarm& alarm : heard.alarms)
            fmt::print(" {} {:.1f}", name(alarm.rule), seconds_between(day.trouble_at, alarm.raised));
        const auto made = static_cast<int>(day.roasts.size());
        if (heard.roasts != made || heard.withdrawn > 0)
            fmt::print(" ({} roasts of {} seen, {} charges withdrawn)", heard.roasts, made, heard.withdrawn);
        fmt::print("\n");
    }
}

}  // namespace

int main(int argc, char** argv) {
    const int stations = argc > 1 ? std::atoi(argv[1]) : 20;
    const bool tuning = argc > 2 && std::string(argv[2]) == "tuning";
    const int from = argc > 3 ? std::atoi(argv[3]) : 0;
    const auto seed = [&](int i) { return static_cast<std::uint64_t>(2 * (from + i) + (tuning ? 1 : 2)); };
    fmt::print("stations with seeds {} to {}\n", seed(0), seed(stations - 1));
    GoodFigures good;
    std::array<TroubleFigures, kTroubles> troubled;
    for (int i = 0; i < stations; ++i) {
        const MadeStation station = made_station(seed(i));
        if (argc > 4) show(station);
        listen_to_good(station, good);
        for (int kind = 0; kind < kTroubles; ++kind)
            listen_to_trouble(station, static_cast<Trouble>(kind), troubled[static_cast<std::size_t>(kind)]);
    }
    print_good(good);
    fmt::print(
        "| trouble | name | found | in time | once | first-out right | after its onset, median, worst (s) | "
        "after the truth, of allowed | besides |\n");
    for (int kind = 0; kind < kTroubles; ++kind)
        print_trouble(static_cast<Trouble>(kind), troubled[static_cast<std::size_t>(kind)]);
}
