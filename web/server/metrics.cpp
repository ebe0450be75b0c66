#include "web/metrics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>

namespace drumwatch {
namespace {

std::string escaped(std::string_view label) {
    std::string out;
    for (const char c : label) {
        if (c == '\\' || c == '"') out += '\\';
        if (c == '\n') {
            out += "\\n";
        } else {
            out += c;
        }
    }
    return out;
}

class Writer {
  public:
    void family(std::string_view family, std::string_view type, std::string_view help) {
        add("# TYPE {} {}\n# HELP {} {}\n", family, type, family, help);
    }
    void gauge(std::string_view family_name, std::string_view help, double value) {
        family(family_name, "gauge", help);
        add("{} {}\n", family_name, value);
    }
    template <typename... Values>
    void add(fmt::format_string<Values...> format, Values&&... values) {
        fmt::format_to(std::back_inserter(text_), format, std::forward<Values>(values)...);
    }
    std::string finish() { return std::move(text_) + "# EOF\n"; }

  private:
    std::string text_;
};

void add_channels(Writer& out, const Snapshot& snapshot, const ChannelTable& channels) {
    const std::size_t count = std::min<std::size_t>(snapshot.channels, channels.size());
    out.family("drumwatch_channel_value", "gauge", "Newest good reading, in the unit that is named.");
    for (std::size_t i = 0; i < count; ++i) {
        if (!is_good(snapshot.channel[i].quality)) continue;
        out.add("drumwatch_channel_value{{channel=\"{}\",unit=\"{}\"}} {}\n", escaped(channels[i].name),
                symbol(channels[i].unit), from_milli(snapshot.channel[i].value_milli));
    }
    out.family("drumwatch_channel_quality", "stateset", "How far the channel can be believed.");
    for (std::size_t i = 0; i < count; ++i) {
        for (int q = 0; q < kQualities; ++q) {
            const auto quality = static_cast<Quality>(q);
            out.add("drumwatch_channel_quality{{channel=\"{}\",drumwatch_channel_quality=\"{}\"}} {}\n",
                    escaped(channels[i].name), name(quality), snapshot.channel[i].quality == quality ? 1 : 0);
        }
    }
}

void add_alarms(Writer& out, const Snapshot& snapshot) {
    std::array<int, 4> active{};
    for (const AlarmView& alarm : snapshot.alarms) {
        if (alarm.state == AlarmState::unacknowledged || alarm.state == AlarmState::acknowledged) {
            ++active[static_cast<std::size_t>(alarm.priority)];
        }
    }
    out.family("drumwatch_alarms_active", "gauge", "Alarms whose condition holds now.");
    for (const Priority priority : {Priority::high, Priority::medium, Priority::low}) {
        out.add("drumwatch_alarms_active{{priority=\"{}\"}} {}\n", name(priority),
                active[static_cast<std::size_t>(priority)]);
    }
}

}  // namespace

std::string metrics_text(const Published& now, const StationFacts& facts, const ServerCounts& counts) {
    Writer out;
    out.family("drumwatch_build", "info", "Which station and program this is.");
    out.add("drumwatch_build_info{{station=\"{}\",machine=\"{}\",version=\"{}\"}} 1\n",
            escaped(facts.station), escaped(facts.machine), escaped(facts.build));
    out.gauge("drumwatch_http_connections", "Open HTTP connections, streams included.",
              static_cast<double>(counts.connections));
    out.gauge("drumwatch_http_streams", "Open live streams.", static_cast<double>(counts.streams));
    if (counts.snapshot_age_s) {
        out.gauge("drumwatch_snapshot_age_seconds", "Since the newest snapshot came from the engine.",
                  *counts.snapshot_age_s);
    }
    if (now.snapshot) {
        out.family("drumwatch_ticks", "counter", "Ticks of the present watch; starts anew with each.");
        out.add("drumwatch_ticks_total {}\n", now.snapshot->sequence);
        add_channels(out, *now.snapshot, facts.channels);
        add_alarms(out, *now.snapshot);
    }
    if (now.box) {
        out.gauge("drumwatch_record_writing", "1 while readings reach the disk.",
                  now.box->record_writing ? 1 : 0);
    }
    return out.finish();
}

}  // namespace drumwatch
