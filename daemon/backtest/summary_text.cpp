#include <fmt/format.h>

#include "backtest/summary.hpp"
#include "core/counted.hpp"

namespace drumwatch {

namespace {

std::string head_text(const BacktestSummary& summary) {
    std::string text = counted(summary.read, "roast");
    if (summary.target)
        text += fmt::format(" against {}, version {} ({})", summary.target->name, summary.target->version,
                            name(summary.target->status));
    text += fmt::format("; first crack is marked in {}", summary.marked);
    if (summary.without_charge > 0) text += fmt::format(", {} without a charge", summary.without_charge);
    if (!summary.unreadable.empty())
        text += fmt::format("; {} could not be read", counted(summary.unreadable.size(), "file"));
    return text + "\n";
}

/// One row of the table by lead; `cell` makes each figure's text.
template <typename Cell>
std::string row(std::string_view label, Cell cell) {
    std::string text = fmt::format("  {:<40}", label);
    for (std::size_t i = 0; i < kLeads; ++i) text += fmt::format("{:>8}", cell(i));
    return text + "\n";
}

std::string tenths(std::optional<double> value) { return value ? fmt::format("{:.1f}", *value) : "--"; }
std::string hundredths(std::optional<double> value) { return value ? fmt::format("{:.2f}", *value) : "--"; }
std::string percent(std::optional<double> share) {
    return share ? fmt::format("{:.0f} %", *share * 100) : "--";
}

std::string chance_text(const IntervalFigures& interval) {
    if (interval.count() == 0) return "--";
    const ChanceRange range = chance_range(interval.count(), kAimedShare);
    const double per_cent = 100.0 / static_cast<double>(interval.count());
    return fmt::format("{:.0f}-{:.0f}", static_cast<double>(range.low) * per_cent,
                       static_cast<double>(range.high) * per_cent);
}

std::optional<double> over_floor(const LeadFigures& figures) {
    const auto error_s = figures.forecast.mean_error();
    const auto floor_s = figures.floor.mean_error();
    if (!error_s || !floor_s || *floor_s <= 0) return std::nullopt;
    return *error_s / *floor_s;
}

std::string forecast_rows(const BacktestSummary& summary) {
    const auto& leads = summary.leads;
    return row("roasts with a forecast", [&](auto i) { return leads[i].forecast.count(); }) +
           row("without", [&](auto i) { return leads[i].forecast.without(); }) +
           row("mean error (s)", [&](auto i) { return tenths(leads[i].forecast.mean_error()); }) +
           row("bias (s; above 0: said too late)",
               [&](auto i) {
                   const auto bias = leads[i].forecast.bias();
                   return bias ? fmt::format("{:+.1f}", *bias) : std::string("--");
               }) +
           row("90 in 100 are within (s)",
               [&](auto i) { return tenths(leads[i].forecast.error_quantile(0.9)); }) +
           row("its interval held the mark", [&](auto i) { return percent(leads[i].interval.share()); }) +
           row("  80 % with the luck of so few (%)", [&](auto i) { return chance_text(leads[i].interval); }) +
           row("its mean width (s)", [&](auto i) { return tenths(leads[i].interval.mean_width()); });
}

std::string beside_rows(const BacktestSummary& summary) {
    const auto& leads = summary.leads;
    std::string text = "for comparison, mean error (s)\n";
    text += row("floor: the scatter of its temperature",
                [&](auto i) { return tenths(leads[i].floor.mean_error()); });
    text += row("forecast over the floor", [&](auto i) { return hundredths(over_floor(leads[i])); });
    for (std::size_t k = 0; k < kPlainForecasts; ++k)
        text += row(words(static_cast<PlainForecast>(k)),
                    [&](auto i) { return tenths(leads[i].plain[k].mean_error()); });
    return text;
}

std::string crack_text(const BacktestSummary& summary) {
    if (summary.marked == 0) return "no file marks first crack: its forecast can't be measured\n";
    std::string text = fmt::format("{:<42}", "forecast of first crack, before its mark:");
    for (const int lead_s : kLeads_s) text += fmt::format("{:>6} s", lead_s);
    text += "\n" + forecast_rows(summary) + beside_rows(summary);
    const auto movement = summary.steadiness.movement();
    const auto change = summary.steadiness.change_in_10_s();
    if (movement && change)
        text += fmt::format(
            "steadiness in the last 180 s: the median roast's forecast moves {:.2f} s a second; 95 in 100 "
            "changes within 10 s are at most {:.1f} s\n",
            *movement, *change);
    return text;
}

std::string milestones_text(const BacktestSummary& summary) {
    std::string text;
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const MilestoneFigures& figures = summary.milestones[i];
        if (figures.marked == 0) continue;
        text += fmt::format("  {:<14}", words(static_cast<Milestone>(i)));
        if (figures.error.count() > 0)
            text += fmt::format("median {:.2f} s off, 95 in 100 within {:.2f} s, bias {:+.2f} s; ",
                                *figures.error.error_quantile(0.5), *figures.error.error_quantile(0.95),
                                *figures.error.bias());
        text += fmt::format("of {} missed {}, more than {:.0f} s off {}\n", figures.marked, figures.missed,
                            MilestoneFigures::kFar_s, figures.far);
    }
    return text.empty() ? text : "milestones, detected against marked\n" + text;
}

std::string verdicts_text(const VerdictFigures& verdicts) {
    std::string text = "verdicts:";
    for (std::size_t i = 0; i < kDispositions; ++i)
        text +=
            fmt::format("{} {} {}", i == 0 ? "" : ",", verdicts.given[i], name(static_cast<Disposition>(i)));
    text += "\n";
    if (verdicts.stated() == 0) return text;
    text += fmt::format("  {} of {} are the right one\n  {:<18}", verdicts.agree(), verdicts.stated(),
                        "right is:");
    for (std::size_t i = 0; i < kDispositions; ++i)
        text += fmt::format("{:>10}", name(static_cast<Disposition>(i)));
    for (std::size_t given = 0; given < kDispositions; ++given) {
        text += fmt::format("\n  given: {:<11}", name(static_cast<Disposition>(given)));
        for (std::size_t right = 0; right < kDispositions; ++right)
            text += fmt::format("{:>10}", verdicts.table[right][given]);
    }
    return text + "\n";
}

}  // namespace

std::string summary_text(const BacktestSummary& summary) {
    return head_text(summary) + crack_text(summary) + milestones_text(summary) +
           verdicts_text(summary.verdicts);
}

}  // namespace drumwatch
