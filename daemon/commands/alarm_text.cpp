#include "commands/alarm_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "alarms/figures/benchmarks.hpp"
#include "core/counted.hpp"
#include "service/local_time.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kTop = 10;

/// "bean high high".
std::string plain(std::string_view word) {
    std::string text(word);
    std::replace(text.begin(), text.end(), '_', ' ');
    return text;
}

double hours(std::int64_t ms) { return static_cast<double>(ms) / 3'600'000; }

/// Tenths, hundredths where it is small; whole counts without.
std::string value_text(const Benchmark& one) {
    if (!one.value) return "--";
    const double value = *one.value;
    std::string text = value == static_cast<double>(static_cast<std::int64_t>(value))
                           ? fmt::format("{:.0f}", value)
                           : fmt::format("{:.{}f}", value, value < 10 ? 2 : 1);
    if (!one.unit.empty()) text += fmt::format(" {}", one.unit);
    return text;
}

std::string head_text(const AlarmLog& log, const AlarmFigures& figures, std::uint64_t roast) {
    if (log.nothing) return "The record holds no watch yet, so there is nothing to say of its alarms.\n";
    const std::string from = local_text({figures.span.from_ms});
    const std::string to = local_text({figures.span.to_ms});
    const std::string what = roast == 0 ? "Alarms" : fmt::format("Alarms of roast {}", roast);
    if (figures.watched_ms == 0)
        return fmt::format("{}: nothing was watched from {} to {}, so there are no figures.\n", what, from,
                           to);
    return fmt::format(
        "{} from {} to {}, of which {:.1f} h were watched: {}\n", what, from, to, hours(figures.watched_ms),
        figures.alarms == 0
            ? "none"
            : fmt::format("{} ({} high, {} medium, {} low)", figures.alarms, figures.by_priority[0],
                          figures.by_priority[1], figures.by_priority[2]));
}

std::string stand_text(const Benchmark& one) {
    if (one.benchmark.empty()) return "";
    if (one.stand == BenchmarkStand::not_judged) return fmt::format("  ({})", one.benchmark);
    return fmt::format("  {:<6} ({})", name(one.stand), one.benchmark);
}

std::string figures_text(const AlarmFigures& figures) {
    std::string text = fmt::format("\n{:<47}{:>9}  against the benchmark\n", "figure", "");
    for (const Benchmark& one : benchmarks(figures))
        text += fmt::format("{:<47}{:>9}{}\n", one.words, value_text(one), stand_text(one));
    return text;
}

std::string days_text(const AlarmFigures& figures) {
    std::string text = fmt::format("\n{:<12}{:>12}{:>8}{:>6}{:>8}{:>6}{:>7}\n", "day", "watched (h)",
                                   "alarms", "high", "medium", "low", "stale");
    std::size_t quiet = 0;
    for (const DayFigures& day : figures.by_day) {
        quiet += day.alarms + day.stale == 0 ? 1 : 0;
        if (day.alarms + day.stale == 0) continue;
        text +=
            fmt::format("{:<12}{:>12.1f}{:>8}{:>6}{:>8}{:>6}{:>7}\n", day.label, hours(day.watched_ms),
                        day.alarms, day.by_priority[0], day.by_priority[1], day.by_priority[2], day.stale);
    }
    if (quiet > 0) text += counted(quiet, "day") + " without any\n";
    return text;
}

std::string roasts_text(const AlarmLog& log, const AlarmFigures& figures) {
    if (figures.by_roast.empty()) return "\nno roast was charged then\n";
    std::string text = fmt::format("\n{:<8}{:<28}{:>8}{:>6}{:>8}{:>6}\n", "roast", "charged", "alarms",
                                   "high", "medium", "low");
    std::size_t quiet = 0;
    for (std::size_t i = 0; i < figures.by_roast.size(); ++i) {
        const RoastFigures& roast = figures.by_roast[i];
        quiet += roast.alarms == 0 ? 1 : 0;
        if (roast.alarms == 0) continue;
        text += fmt::format("{:<8}{:<28}{:>8}{:>6}{:>8}{:>6}\n", roast.id,
                            local_text({log.period.roasts[i].span.from_ms}), roast.alarms,
                            roast.by_priority[0], roast.by_priority[1], roast.by_priority[2]);
    }
    if (quiet > 0) text += counted(quiet, "roast") + " without any\n";
    return text;
}

std::string rules_text(const AlarmFigures& figures) {
    if (figures.rules.empty()) return {};
    std::string text = fmt::format("\n{:<20}{:>8}{:>11}{:>12}{:>10}{:>7}{:>20}\n", "most frequent", "alarms",
                                   "share (%)", "chattering", "fleeting", "stale", "never acknowledged");
    for (std::size_t i = 0; i < std::min(kTop, figures.rules.size()); ++i) {
        const RuleFigures& rule = figures.rules[i];
        text += fmt::format("{:<20}{:>8}{:>11.1f}{:>12}{:>10}{:>7}{:>20}\n", plain(name(rule.rule)),
                            rule.alarms, rule.share * 100, rule.chattering, rule.fleeting,
                            std::max(rule.stale_day, rule.stale_roasts), rule.unacknowledged);
    }
    return text;
}

std::string actors_text(const AlarmFigures& figures) {
    const auto actors = bad_actors(figures);
    if (actors.empty()) return {};
    std::string text = "\nto be looked at\n";
    for (const BadActor& actor : actors)
        text += fmt::format("{}: {} {}. {}\n", plain(name(actor.rule)), counted(actor.times, "time"),
                            words(actor.why), suggestion(actor.rule, actor.why));
    return text;
}

constexpr const char* kSources =
    "\nBenchmarks: ANSI/ISA-18.2, IEC 62682 and EEMUA 191, from secondary sources and from memory, made for "
    "large plants;\nthose of roasts are our own goals. --json names the source of each.\n";

/// In quotes where it needs them; never what a spreadsheet would take for a formula.
std::string cell(const std::string& text) {
    if (text.empty()) return {};
    const bool formula = std::string_view("=+-@\t").find(text.front()) != std::string_view::npos;
    std::string quoted = formula ? "\"'" : "\"";
    for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
    return quoted + "\"";
}

std::string measured(std::optional<double> value, std::string_view unit) {
    return value ? fmt::format("{},{}", *value, unit) : ",";
}

std::string change_line(const LoggedAlarm& one) {
    const AlarmTransition& what = one.what;
    // Of all alarms at once, or of none.
    const bool of_one = what.change != AlarmChange::silenced && what.change != AlarmChange::forgotten;
    const std::string_view unit = alarm_unit(what.rule);
    return fmt::format(
        "{},{},{},{},{},{},{},{},{},{},{},{}\r\n", utc_text({what.time_ms}), local_text({what.time_ms}),
        one.watch, what.roast == 0 ? "" : std::to_string(what.roast),
        what.occurrence == 0 ? "" : std::to_string(what.occurrence), of_one ? name(what.rule) : "",
        of_one ? name(what.priority) : "", name(what.change), measured(one.value, unit),
        measured(one.limit, unit), cell(what.who), cell(one.reason));
}

}  // namespace

std::string alarm_report_text(const AlarmLog& log, const AlarmFigures& figures, std::uint64_t roast) {
    const std::string head = head_text(log, figures, roast);
    if (log.nothing || figures.watched_ms == 0) return head;
    return head + figures_text(figures) + days_text(figures) + roasts_text(log, figures) +
           rules_text(figures) + actors_text(figures) + kSources;
}

std::string alarm_changes_csv(const AlarmLog& log) {
    std::string text =
        "time_utc,time_local,watch,roast,occurrence,alarm,priority,change,value,value_unit,limit,limit_unit,"
        "who,reason\r\n";
    for (const LoggedAlarm& one : log.changes) {
        if (one.what.time_ms >= log.period.span.from_ms) text += change_line(one);
    }
    return text;
}

}  // namespace drumwatch
