#include "support/sample_record.hpp"

#include <algorithm>
#include <cmath>

#include "record/pack.hpp"
#include "support/random.hpp"

namespace drumwatch {
namespace {

Milli stepped(double value, std::int64_t step_milli) {
    const double step = static_cast<double>(step_milli);
    return static_cast<Milli>(std::llround(value * 1000.0 / step) * step_milli);
}

double bean_c(double s) { return 95 + 125 * (1 - std::exp(-s / 420)) * 1.35 + 105 * std::exp(-s / 28); }
double burner_pct(double s) { return s < 180 ? 80 : s < 360 ? 65 : s < 480 ? 50 : 35; }

}  // namespace

ChannelTable sample_channels() {
    ChannelTable channels;
    const auto add = [&](const char* name, Role role, Unit unit) {
        Channel channel;
        channel.name = name;
        channel.role = role;
        channel.unit = unit;
        channels.push_back(channel);
    };
    add("bean", Role::bean, Unit::celsius);
    add("exhaust", Role::exhaust, Unit::celsius);
    add("inlet", Role::inlet, Unit::celsius);
    add("drum", Role::drum, Unit::celsius);
    add("tray", Role::tray, Unit::celsius);
    add("burner", Role::burner, Unit::percent);
    add("airflow", Role::airflow, Unit::percent);
    add("drum_speed", Role::drum_speed, Unit::rpm);
    return channels;
}

std::vector<Frame> sample_roast(std::uint64_t seed, std::int64_t from_ms, std::int64_t seconds,
                                std::int64_t period_ms, std::int64_t step_milli, int every) {
    TestRandom random(seed);
    std::vector<Frame> frames;
    for (std::int64_t ms = 0; ms < seconds * 1000; ms += period_ms) {
        const double s = static_cast<double>(ms) / 1000.0;
        const double bean = bean_c(s);
        const double values[] = {bean,
                                 bean + 15 - 40 * std::exp(-s / 90),
                                 290 - s / 12,
                                 225 + 8 * std::sin(s / 130),
                                 24 + 30 * std::exp(-s / 200),
                                 burner_pct(s),
                                 s < 400 ? 45.0 : 60.0,
                                 52};
        Frame frame;
        frame.tick = {from_ms + ms};
        frame.channels = 8;
        for (std::size_t i = 0; i < 8; ++i) {
            const double noise = i < 5 ? 0.15 * random.normal() : (i == 7 ? 0.1 * random.normal() : 0);
            frame.samples[i] = {stepped(values[i] + noise, i < 5 ? step_milli : 100), Quality::good, true};
        }
        const auto number = static_cast<int>(frames.size());
        if (every > 1 && number % every != 0) {
            frame.samples[2] = frames.back().samples[2];
            frame.samples[2].fresh = false;
        }
        frames.push_back(frame);
    }
    return frames;
}

WatchRow sample_watch(std::uint64_t id) {
    WatchRow watch;
    watch.id = id;
    watch.began = {1'780'000'000'000 + static_cast<std::int64_t>(id) * 86'400'000};
    watch.build = "0.1.0 test";
    watch.config_hash = "c0ffee";
    watch.begin = R"({"watch":1})";
    watch.channels = sample_channels();
    return watch;
}

RoastRecord sample_roast_row(std::uint64_t id, std::uint64_t watch, std::int64_t charge_ms,
                             std::int64_t seconds) {
    RoastRecord roast;
    roast.id = id;
    roast.watch = watch;
    roast.station = "Saltmarsh Mill";
    roast.coffee = "Fen Meadow, washed";
    roast.target_name = "fen-meadow-filter";
    roast.target_version = 3;
    roast.state = RoastState::finished;
    roast.charge = {charge_ms};
    roast.drop = Tick{charge_ms + seconds * 1000};
    roast.charged_at = {1'780'000'000'123};
    roast.milestones[static_cast<std::size_t>(Milestone::charge)] = {
        {charge_ms}, 199'800, MarkSource::detected};
    roast.milestones[static_cast<std::size_t>(Milestone::first_crack)] = {
        {charge_ms + 480'000}, static_cast<Milli>(196'000 + 100 * static_cast<Milli>(id)), MarkSource::mark};
    Verdict verdict;
    verdict.roast = id;
    verdict.disposition = Disposition::taste;
    verdict.reasons.push_back(
        {VerdictRule::end_temperature, Disposition::taste, 1.9, 1.1, 0, -1, Control::burner, 0});
    verdict.reasons.push_back(
        {VerdictRule::move_off, Disposition::taste, 45.25, 10, 0, 2, Control::airflow, 60.1});
    roast.verdict = verdict;
    roast.reasons = R"([{"rule":"end_temperature","text":"End temperature ...","value":1.9,"limit":1.1}])";
    roast.moves = R"([{"control":"burner","planned_at_s":180,"made_at_s":225}])";
    return roast;
}

CommandRow sample_command(std::uint64_t watch, std::int64_t tick_ms, const std::string& client_id) {
    return {watch, tick_ms, "mark", R"({"milestone":"first_crack"})", "tablet by the drum", client_id, {1}};
}

EventRow sample_event(std::uint64_t watch, std::uint64_t roast, std::int64_t tick_ms) {
    return {watch,
            roast,
            tick_ms,
            tick_ms - 1500,
            "turning_point",
            R"({"bean_milli":92300})",
            "turning point at 1:12, 92.3 °C"};
}

bool same_frames(const std::vector<Frame>& a, const std::vector<Frame>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), same_frame);
}

}  // namespace drumwatch
