// The machine's independent high-limit control: where it measures, what it is set to, when it was tested.
#include <fmt/format.h>

#include <chrono>

#include "config/keys.hpp"
#include "config/limiter.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

using Date = std::chrono::year_month_day;

std::optional<Date> date_of(const std::string& text) {
    const auto midnight = wall_time_from_utc(text + "T00:00:00.000Z");
    if (!midnight) return std::nullopt;
    return Date(std::chrono::floor<std::chrono::days>(
        std::chrono::sys_time<std::chrono::milliseconds>(std::chrono::milliseconds(midnight->unix_ms))));
}

Date date_of(WallTime time) {
    return Date(std::chrono::floor<std::chrono::days>(
        std::chrono::sys_time<std::chrono::milliseconds>(std::chrono::milliseconds(time.unix_ms))));
}

int whole_months(Date from, Date to) {
    const auto months = (to.year() / to.month()) - (from.year() / from.month());
    return static_cast<int>(months.count()) - (to.day() < from.day() ? 1 : 0);
}

}  // namespace

void read_limiter(JsonObject& root, Config& config) {
    const JsonNode* node = root.find("limiter");
    if (node == nullptr) return;
    if (node->kind == JsonKind::text && node->text == "none stated") return;
    if (node->kind != JsonKind::object) {
        root.complain("limiter",
                      "must be \"none stated\", or where the machine's independent high-limit control "
                      "measures and what it is set to: {\"place\": \"bean\", \"setting_c\": 250}");
        return;
    }
    auto object = root.object("limiter", kLimiterKeys);
    LimiterConfig& limiter = config.limiter;
    limiter.stated = true;
    object->read("place", limiter.place, 80);
    object->read("setting_c", limiter.setting_c, {100, 900, "°C"});
    object->read("test_every_months", limiter.test_every_months, {1, 60, "months"});
    if (object->read("tested", limiter.tested, 10) && !date_of(limiter.tested))
        object->complain("tested", fmt::format("is {}; a date such as \"2026-03-31\" would be right",
                                               quoted(limiter.tested)));
}

std::optional<int> months_since_test(const LimiterConfig& limiter, std::optional<WallTime> noted,
                                     WallTime now) {
    std::optional<int> months;
    if (const auto stated = date_of(limiter.tested)) months = whole_months(*stated, date_of(now));
    if (!noted) return months;
    const int since = whole_months(date_of(*noted), date_of(now));
    return std::min(months.value_or(since), since);
}

std::string limiter_note(const LimiterConfig& limiter, WallTime now) {
    if (!limiter.stated)
        return "no independent high-limit control is stated for this machine; it must have one of its own, "
               "and Drumwatch is none";
    const auto months = months_since_test(limiter, {}, now);
    if (!months)
        return "when the independent high-limit control was last tested is not stated (\"tested\" of "
               "\"limiter\")";
    if (*months < limiter.test_every_months) return {};
    return fmt::format(
        "the independent high-limit control was last tested on {}, {} months ago: its test is due",
        limiter.tested, *months);
}

}  // namespace drumwatch
