#include "bench/rise_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>

namespace drumwatch {
namespace {

constexpr const char* kLineColour = "#1f5fa8";
constexpr const char* kParabolaColour = "#b3541e";
constexpr const char* kFilterColour = "#3d7a3d";

/// A panel of 400 by 300 with its axes: from data to the page.
struct Panel {
    double left;
    double x_low, x_high, y_low, y_high;
    bool logarithmic;

    static constexpr double kTop = 60, kWide = 400, kHigh = 300;
    double x(double value) const { return left + (value - x_low) / (x_high - x_low) * kWide; }
    double y(double value) const {
        const double share = logarithmic ? std::log(value / y_low) / std::log(y_high / y_low)
                                         : (value - y_low) / (y_high - y_low);
        return kTop + (1 - share) * kHigh;
    }
    bool holds(double px, double py) const {
        return px >= x_low && px <= x_high && py >= y_low && py <= y_high;
    }
};

std::string text(double x, double y, const std::string& words, const char* more = "") {
    return fmt::format("<text x=\"{:.0f}\" y=\"{:.0f}\" {}>{}</text>\n", x, y, more, words);
}

std::string axes(const Panel& panel, const std::vector<double>& xs, const std::vector<double>& ys) {
    std::string svg;
    for (const double x : xs) {
        svg += fmt::format("<path d=\"M{0:.1f} {1}V{2}\" stroke=\"#e2e2e2\"/>\n", panel.x(x), Panel::kTop,
                           Panel::kTop + Panel::kHigh);
        svg += text(panel.x(x), Panel::kTop + Panel::kHigh + 18, fmt::format("{:g}", x),
                    "text-anchor=\"middle\"");
    }
    for (const double y : ys) {
        svg += fmt::format("<path d=\"M{0} {1:.1f}h{2}\" stroke=\"#e2e2e2\"/>\n", panel.left, panel.y(y),
                           Panel::kWide);
        svg += text(panel.left - 6, panel.y(y) + 4, fmt::format("{:g}", y), "text-anchor=\"end\"");
    }
    return svg + fmt::format(
                     "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" "
                     "stroke=\"#555\"/>\n",
                     panel.left, Panel::kTop, Panel::kWide, Panel::kHigh);
}

/// The settings stand beside the points, so far to the right and down.
std::string trade(const Panel& panel, const std::vector<RisePoint>& points, const char* colour,
                  const char* label, const char* anchor, double right, double down) {
    std::string path, marks;
    for (const RisePoint& point : points) {
        if (!panel.holds(point.late_s, point.noise_per_min)) continue;
        const double x = panel.x(point.late_s), y = panel.y(point.noise_per_min);
        path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", x, y);
        marks += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3\" fill=\"{}\"/>\n", x, y, colour);
        marks += text(x + right, y + down, fmt::format(fmt::runtime(label), point.setting),
                      fmt::format("fill=\"{}\" font-size=\"10\" text-anchor=\"{}\"", colour, anchor).c_str());
    }
    return fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.5\"/>\n", path, colour) +
           marks;
}

std::string answer(const Panel& panel, const RisePoint& point, const char* colour, const char* dash) {
    std::string path;
    for (std::size_t i = 0; i < point.answer.size(); ++i) {
        const double t_s = static_cast<double>(i) * 0.25 - 5;
        if (t_s > panel.x_high) break;
        path +=
            fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", panel.x(t_s), panel.y(point.answer[i]));
    }
    return fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"2\" {}/>\n", path, colour,
                       dash);
}

/// The one whose noise is nearest to the product's.
const RisePoint& as_noisy(const std::vector<RisePoint>& points, const RisePoint& product) {
    const auto off = [&](const RisePoint& point) {
        return std::fabs(std::log(point.noise_per_min / product.noise_per_min));
    };
    return *std::min_element(points.begin(), points.end(),
                             [&](const RisePoint& a, const RisePoint& b) { return off(a) < off(b); });
}

std::string left_panel(const RisePicture& picture) {
    const Panel panel{70, 0, 14, 0.1, 4, true};
    std::string svg = fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" "
        "fill=\"#f1f0e4\"/>\n",
        panel.x(0), panel.y(0.6), panel.x(6) - panel.x(0), panel.y(0.1) - panel.y(0.6));
    svg += axes(panel, {0, 2, 4, 6, 8, 10, 12, 14}, {0.1, 0.2, 0.5, 1, 2, 4});
    svg += text(panel.x(0) + 6, panel.y(0.1) - 6, "what is asked for: 6 s, 0.6 °C/min", "fill=\"#666\"");
    svg += trade(panel, picture.line, kLineColour, "{:g} s", "start", 7, 0);
    svg += trade(panel, picture.parabola, kParabolaColour, "{:g} s", "start", 40, 0);
    svg += trade(panel, picture.filter, kFilterColour, "{:g}", "end", -7, 8);
    svg += fmt::format(
        "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"7\" fill=\"none\" stroke=\"#000\" "
        "stroke-width=\"2\"/>\n",
        panel.x(picture.product.late_s), panel.y(picture.product.noise_per_min));
    svg += text(panel.left, 44, "Noise of the rate of rise, °C/min, against seconds late",
                "font-weight=\"bold\"");
    return svg + text(panel.left + 200, 396, "seconds until half of a sudden change is seen",
                      "text-anchor=\"middle\"");
}

std::string right_panel(const RisePicture& picture) {
    const Panel panel{560, -5, 30, -0.1, 1.6, false};
    const RisePoint& parabola = as_noisy(picture.parabola, picture.product);
    const RisePoint& filter = as_noisy(picture.filter, picture.product);
    std::string svg = axes(panel, {-5, 0, 5, 10, 15, 20, 25, 30}, {0, 0.25, 0.5, 0.75, 1, 1.25, 1.5});
    svg += answer(panel, filter, kFilterColour, "stroke-dasharray=\"2 3\"");
    svg += answer(panel, parabola, kParabolaColour, "stroke-dasharray=\"8 4\"");
    svg += answer(panel, picture.product, kLineColour, "");
    svg += text(panel.left, 44, "Share of a sudden change that is seen, at the same noise",
                "font-weight=\"bold\"");
    const auto legend = [&](double y, const char* colour, const std::string& words) {
        svg += text(panel.left + 175, y, words, fmt::format("fill=\"{}\"", colour).c_str());
    };
    legend(300, kLineColour,
           fmt::format("line over 10 s (used): {:.2f} °C/min", picture.product.noise_per_min));
    legend(318, kParabolaColour,
           fmt::format("parabola's end, {:g} s: {:.2f} °C/min", parabola.setting, parabola.noise_per_min));
    legend(336, kFilterColour,
           fmt::format("Kalman filter, {:g}: {:.2f} °C/min", filter.setting, filter.noise_per_min));
    return svg + text(panel.left + 200, 396, "seconds since the change", "text-anchor=\"middle\"");
}

}  // namespace

bool draw(const RisePicture& picture, const std::string& path) {
    std::ofstream file(path);
    file << "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1000 420\" font-family=\"sans-serif\" "
            "font-size=\"13\">\n<rect width=\"1000\" height=\"420\" fill=\"#fff\"/>\n"
         << text(70, 22, "4 readings a second, 0.15 °C of white noise, steps of 0.1 °C (bench_rise)")
         << left_panel(picture) << right_panel(picture) << "</svg>\n";
    return static_cast<bool>(file.flush());
}

}  // namespace drumwatch
