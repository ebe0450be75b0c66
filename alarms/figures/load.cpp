#include "alarms/figures/load.hpp"

#include <algorithm>

#include "alarms/figures/flood_watch.hpp"

namespace drumwatch {

namespace {

using Times = std::vector<std::int64_t>;

bool holds(const TimeSpan& span, std::int64_t at_ms) { return at_ms >= span.from_ms && at_ms < span.to_ms; }

/// Whether onset `last` is the newest of `many` within the window.
bool completes(const Times& onsets_ms, std::size_t last, std::size_t many, std::int64_t window_ms) {
    return last + 1 >= many && onsets_ms[last] - onsets_ms[last + 1 - many] < window_ms;
}

}  // namespace

std::int64_t overlap_ms(const std::vector<TimeSpan>& spans, const TimeSpan& part) {
    std::int64_t sum = 0;
    for (const TimeSpan& span : spans)
        sum += std::max<std::int64_t>(
            0, std::min(span.to_ms, part.to_ms) - std::max(span.from_ms, part.from_ms));
    return sum;
}

std::size_t most_in_window(const Times& onsets_ms, const TimeSpan& span) {
    std::size_t most = 0;
    std::size_t oldest = 0;
    for (std::size_t i = 0; i < onsets_ms.size(); ++i) {
        while (onsets_ms[i] - onsets_ms[oldest] >= kFloodWindow_ms) ++oldest;
        if (holds(span, onsets_ms[i])) most = std::max(most, i + 1 - oldest);
    }
    return most;
}

std::vector<TimeSpan> crowded_spans(const Times& onsets_ms) {
    std::vector<TimeSpan> spans;
    for (std::size_t i = 0; i < onsets_ms.size(); ++i) {
        if (!completes(onsets_ms, i, kFloodOnsets, kFloodWindow_ms)) continue;
        const TimeSpan span{onsets_ms[i], onsets_ms[i + 1 - kFloodOnsets] + kFloodWindow_ms};
        if (!spans.empty() && span.from_ms <= spans.back().to_ms) {
            spans.back().to_ms = span.to_ms;
        } else {
            spans.push_back(span);
        }
    }
    return spans;
}

std::vector<AlarmFlood> floods(const Times& onsets_ms, std::int64_t now_ms) {
    std::vector<AlarmFlood> found;
    for (std::size_t i = 0; i < onsets_ms.size(); ++i) {
        if (!completes(onsets_ms, i, kFloodOnsets, kFloodWindow_ms)) continue;
        AlarmFlood flood{{onsets_ms[i], 0}, kFloodOnsets};
        // Over once the fifth newest is 10 minutes old and none has come until then.
        std::int64_t over_ms = onsets_ms[i + 1 - kFloodStays] + kFloodWindow_ms;
        for (; i + 1 < onsets_ms.size() && onsets_ms[i + 1] <= over_ms; ++i) {
            ++flood.alarms;
            over_ms = onsets_ms[i + 2 - kFloodStays] + kFloodWindow_ms;
        }
        flood.span.to_ms = std::min(over_ms, now_ms);
        found.push_back(flood);
    }
    return found;
}

std::size_t chatter_count(const Times& onsets_ms, const TimeSpan& span) {
    std::size_t count = 0;
    bool before = false;
    for (std::size_t i = 0; i < onsets_ms.size(); ++i) {
        const bool chatters = completes(onsets_ms, i, kChatterOnsets, kChatterWindow_ms);
        if (chatters && !before && holds(span, onsets_ms[i])) ++count;
        before = chatters;
    }
    return count;
}

}  // namespace drumwatch
