// Two panels in one ink on white, told apart by weight, dash and shape, so that they can be read in grey:
// each roast's forecast error against the time left with the fan that the interval promised, and the mean
// error at the leads beside floor and plain forecasts.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "backtest/summary.hpp"

namespace drumwatch {

namespace {

constexpr double kLeft = 70, kRight = 930, kTop = 92, kBottom = 412;
constexpr double kDotsTop = 520, kDotsStep = 34;
constexpr double kFrom_s = 300;
constexpr int kStep_s = 5;

struct At {
    double before_s;
    double value_s;
};

/// Where a second and an error lie in the upper panel.
struct Scale {
    double most_s;
    double x(double before_s) const { return kRight - (kRight - kLeft) * before_s / kFrom_s; }
    double y(double error_s) const { return (kTop + kBottom) / 2 - error_s / most_s * (kBottom - kTop) / 2; }
};

/// All roasts at so many seconds before first crack.
struct Across {
    std::vector<double> error_s, low_s, high_s;
};

const ForecastTrack::Point* near(const ForecastTrack& track, double before_s) {
    for (const auto& point : track.points)
        if (std::fabs(point.before_s - before_s) <= 0.5) return &point;
    return nullptr;
}

Across across(const BacktestSummary& summary, double before_s) {
    Across all;
    for (const ForecastTrack& track : summary.tracks) {
        const auto* point = near(track, before_s);
        if (!point) continue;
        all.error_s.push_back(point->off.error_s);
        all.low_s.push_back(point->off.low_s);
        all.high_s.push_back(point->off.high_s);
    }
    return all;
}

double mean(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return sum / static_cast<double>(values.size());
}

std::string path(const std::vector<At>& line, const Scale& scale) {
    std::string d;
    for (const At& at : line)
        d += fmt::format("{}{:.1f} {:.1f}", d.empty() ? "M" : "L", scale.x(at.before_s), scale.y(at.value_s));
    return d;
}

Scale scale_of(const BacktestSummary& summary) {
    std::vector<double> sizes;
    for (const ForecastTrack& track : summary.tracks)
        for (const auto& point : track.points) sizes.push_back(std::fabs(point.off.error_s));
    const double most_s = quantile(std::move(sizes), 0.98).value_or(30);
    return {std::clamp(std::ceil(most_s / 10) * 10, 30.0, 120.0)};
}

std::string text(double x, double y, std::string_view words, std::string_view more = {}) {
    return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\"{}>{}</text>\n", x, y, more, words);
}

std::string axes(const Scale& scale) {
    std::string out = "<g stroke=\"#dddddd\">\n";
    const double step_s = scale.most_s > 60 ? 30 : scale.most_s > 30 ? 20 : 10;
    std::string labels = "<g fill=\"#444444\">\n";
    for (double s = -std::floor(scale.most_s / step_s) * step_s; s <= scale.most_s; s += step_s) {
        out += fmt::format("<path d=\"M{} {:.1f}H{}\"{}/>\n", kLeft, scale.y(s), kRight,
                           s == 0 ? " stroke=\"#888888\"" : "");
        labels +=
            text(kLeft - 8, scale.y(s) + 4, s == 0 ? "0" : fmt::format("{:+.0f}", s), " text-anchor=\"end\"");
    }
    for (int s = 0; s <= kFrom_s; s += 60)
        labels += text(scale.x(s), kBottom + 20, s == 0 ? "mark" : fmt::format("{} s before", s),
                       s == 0 ? " text-anchor=\"end\"" : " text-anchor=\"middle\"");
    labels += text(kLeft + 6, kTop + 14, "said too late") + text(kLeft + 6, kBottom - 8, "said too early");
    return out + "</g>\n" + labels + "</g>\n";
}

std::string tracks(const BacktestSummary& summary, const Scale& scale) {
    const double opacity = std::clamp(12.0 / static_cast<double>(summary.tracks.size() + 1), 0.07, 0.6);
    std::string out = fmt::format(
        "<g fill=\"none\" stroke=\"#222222\" stroke-width=\"0.8\" stroke-opacity=\"{:.2f}\">\n", opacity);
    for (const ForecastTrack& track : summary.tracks) {
        std::vector<At> line;
        double next_s = 2 * kFrom_s;
        for (const auto& point : track.points) {
            if (point.before_s > next_s) continue;
            next_s = point.before_s - kStep_s + 0.01;
            line.push_back({point.before_s, point.off.error_s});
        }
        if (line.size() > 1) out += "<path d=\"" + path(line, scale) + "\"/>\n";
    }
    return out + "</g>\n";
}

/// The fan as it was promised on average, and what 80 in 100 roasts and the median did.
std::string fan(const BacktestSummary& summary, const Scale& scale) {
    std::vector<At> low, high, tenth, ninetieth, median;
    for (int s = static_cast<int>(kFrom_s); s >= 0; s -= kStep_s) {
        const Across all = across(summary, s);
        if (all.error_s.size() < 5 || all.error_s.size() * 2 < summary.tracks.size()) continue;
        const double before_s = s;
        low.push_back({before_s, mean(all.low_s)});
        high.push_back({before_s, mean(all.high_s)});
        tenth.push_back({before_s, *quantile(all.error_s, 0.1)});
        ninetieth.push_back({before_s, *quantile(all.error_s, 0.9)});
        median.push_back({before_s, *quantile(all.error_s, 0.5)});
    }
    if (low.empty()) return {};
    std::vector<At> around = high;
    around.insert(around.end(), low.rbegin(), low.rend());
    return "<path d=\"" + path(around, scale) + "Z\" fill=\"#e4e4e4\"/>\n" + tracks(summary, scale) +
           "<g fill=\"none\" stroke=\"#111111\">\n<path stroke-width=\"3\" d=\"" + path(median, scale) +
           "\"/>\n<path stroke-width=\"1.6\" stroke-dasharray=\"7 4\" d=\"" + path(tenth, scale) +
           path(ninetieth, scale) + "\"/>\n</g>\n";
}

std::string key() {
    return "<path d=\"M70 66h26\" stroke=\"#222222\" stroke-width=\"0.8\" stroke-opacity=\"0.5\"/>\n" +
           text(102, 70, "each roast") + "<path d=\"M196 66h26\" stroke=\"#111111\" stroke-width=\"3\"/>\n" +
           text(228, 70, "median") +
           "<path d=\"M300 66h26\" stroke=\"#111111\" stroke-width=\"1.6\" stroke-dasharray=\"7 4\"/>\n" +
           text(332, 70, "80 in 100 roasts lie between") +
           "<rect x=\"530\" y=\"58\" width=\"26\" height=\"16\" fill=\"#e4e4e4\"/>\n" +
           text(562, 70, "what the forecast said 80 in 100 would, on average");
}

/// Tick, disk, circle, square, diamond: floor, forecast, and the plain ones.
std::string shape(std::size_t which, double x, double y) {
    constexpr std::string_view kHollow = "fill=\"#ffffff\" stroke=\"#222222\" stroke-width=\"1.6\"";
    switch (which) {
        case 0:
            return fmt::format("<path d=\"M{:.1f} {:.1f}v20\" stroke=\"#111111\" stroke-width=\"3\"/>\n", x,
                               y - 10);
        case 1:
            return fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"7\" fill=\"#111111\"/>\n", x, y);
        case 2:
            return fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"6\" {}/>\n", x, y, kHollow);
        case 3:
            return fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"11\" height=\"11\" {}/>\n", x - 5.5,
                               y - 5.5, kHollow);
        default:
            return fmt::format("<path d=\"M{:.1f} {:.1f}l7 7l-7 7l-7 -7Z\" {}/>\n", x, y - 7, kHollow);
    }
}

std::string dots_key() {
    constexpr std::string_view kWords[] = {"floor: only the crack temperature's scatter", "forecast",
                                           "straight line", "shifted target", "scaled rise"};
    constexpr double kPlaces[] = {76, 386, 480, 600, 730};
    std::string out;
    for (std::size_t i = 0; i < std::size(kWords); ++i)
        out += shape(i, kPlaces[i], kDotsTop - 34) + text(kPlaces[i] + 14, kDotsTop - 30, kWords[i]);
    return out;
}

std::array<std::optional<double>, 5> means_of(const LeadFigures& lead) {
    return {lead.floor.mean_error(), lead.forecast.mean_error(), lead.plain[0].mean_error(),
            lead.plain[1].mean_error(), lead.plain[2].mean_error()};
}

std::string dots(const BacktestSummary& summary) {
    double most_s = 10;
    for (const LeadFigures& lead : summary.leads)
        for (const auto& value : means_of(lead)) most_s = std::max(most_s, value.value_or(0));
    const double last_s = std::ceil(most_s / 10) * 10;
    const double left = kLeft + 90;
    const auto x = [&](double s) { return left + (kRight - left) * s / last_s; };
    std::string out =
        text(kLeft, kDotsTop - 58, "Mean error by the time left", " font-weight=\"bold\"") + dots_key();
    for (std::size_t i = 0; i < kLeads; ++i) {
        const double y = kDotsTop + 8 + kDotsStep * static_cast<double>(i);
        out += text(left - 14, y + 4, fmt::format("{} s before", kLeads_s[i]), " text-anchor=\"end\"") +
               fmt::format("<path d=\"M{:.1f} {:.1f}H{}\" stroke=\"#dddddd\"/>\n", left, y, kRight);
        const auto means = means_of(summary.leads[i]);
        for (std::size_t k = means.size(); k > 0; --k)
            if (means[k - 1]) out += shape(k - 1, x(*means[k - 1]), y);
    }
    const double step_s = last_s > 60 ? 20 : last_s > 20 ? 10 : 5;
    for (double s = 0; s <= last_s; s += step_s)
        out += text(x(s), kDotsTop + 4 * kDotsStep + 12, fmt::format("{:.0f} s", s),
                    " text-anchor=\"middle\" fill=\"#444444\"");
    return out;
}

std::string escaped(std::string_view words) {
    std::string out;
    for (const char c : words) {
        if (c == '<') {
            out += "&lt;";
        } else if (c == '&') {
            out += "&amp;";
        } else {
            out += c;
        }
    }
    return out;
}

}  // namespace

std::string plot_svg(const BacktestSummary& summary) {
    const Scale scale = scale_of(summary);
    const std::string title = "Forecast of first crack: how far off, against the time left";
    const std::string of = fmt::format("{} marked roasts{}", summary.marked,
                                       summary.target ? ", " + escaped(summary.target->name) : "");
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 960 690\" font-family=\"sans-serif\" "
           "font-size=\"13\" fill=\"#222222\" role=\"img\">\n<title>" +
           title + "</title>\n<rect width=\"960\" height=\"690\" fill=\"#ffffff\"/>\n" +
           fmt::format(
               "<clipPath id=\"panel\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>"
               "</clipPath>\n",
               kLeft, kTop, kRight - kLeft, kBottom - kTop) +
           text(kLeft, 34, title, " font-size=\"17\" font-weight=\"bold\"") +
           text(kRight, 34, of, " text-anchor=\"end\" fill=\"#444444\"") + key() +
           "<g clip-path=\"url(#panel)\">\n" + fan(summary, scale) + "</g>\n" + axes(scale) + dots(summary) +
           "</svg>\n";
}

}  // namespace drumwatch
