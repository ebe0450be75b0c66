// How long a daemon takes to stand where it stood: a record with an open watch of 20 minutes at 4 Hz with 8
// channels and a roast in the drum is opened, read and fed again. Printed as a ratio to opening a record
// without one, and in milliseconds of this machine. Run by hand: build/release/bin/bench_recovery
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "record/recorder.hpp"
#include "service/bookkeeper.hpp"
#include "service/resume.hpp"
#include "service/station_clock.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

constexpr std::size_t kChannels = 8;
constexpr double kWatch_s = 1200;

Begin begin_of_eight(const ClockReading& now) {
    Begin begin;
    begin.boot = now.boot;
    begin.boot_ms = now.boot_ms - static_cast<std::int64_t>(kWatch_s * 1000);
    begin.wall.unix_ms = now.wall.unix_ms - static_cast<std::int64_t>(kWatch_s * 1000);
    begin.target = share(straight_target());
    for (std::size_t i = 0; i < kChannels; ++i) {
        Channel channel = bean_channel();
        if (i > 0) channel.role = Role::other;
        channel.name = "probe " + std::to_string(i);
        begin.settings.channels.push_back(channel);
    }
    return begin;
}

/// As the daemon leaves it when it is killed: the record is copied while it is open.
void write_open_watch(const std::string& live, const std::string& left) {
    CurveShape shape;
    shape.idle_s = 540;
    shape.drop_s = kWatch_s;  // never reached: the roast is in the drum
    auto recorder = Recorder::open({live});
    const StationClock clock(1);
    Bookkeeper books(*recorder.value(), "bench", clock);
    const Begin begin = begin_of_eight(read_clock());
    Engine engine(begin);
    books.begin(begin);
    for (const RoastRow& row : roast_file(shape).rows) {
        Frame frame;
        frame.tick = Tick{row.elapsed_ms};
        if (frame.tick.ms > static_cast<std::int64_t>(kWatch_s * 1000)) break;
        frame.channels = kChannels;
        for (std::size_t i = 0; i < kChannels; ++i)
            frame.samples[i] = {*row.values[0] + static_cast<Milli>(100 * i), Quality::good, true};
        const Snapshot& snapshot = engine.step(frame);
        books.tick(frame, snapshot, engine.take_events());
    }
    while (recorder.value()->status().waiting > 0) {
    }
    for (const char* tail : {"", "-wal"}) std::filesystem::copy_file(live + tail, left + tail);
}

double ms_of_start(const std::string& path, bool& resumed) {
    const auto begin = std::chrono::steady_clock::now();
    auto recorder = Recorder::open({path});
    const auto reader = RecordReader::open(path);
    const std::uint64_t newest = recorder.value()->found().next_watch - 1;
    resumed = newest > 0 && resume(*reader.value(), {}, newest, read_clock()).resumed.has_value();
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count();
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

}  // namespace

int main() {
    std::vector<double> plain;
    std::vector<double> recovery;
    for (int i = 0; i < 7; ++i) {
        const TempDir folder;
        bool resumed = false;
        plain.push_back(ms_of_start(folder.file("new.sqlite"), resumed));
        write_open_watch(folder.file("live.sqlite"), folder.file("left.sqlite"));
        recovery.push_back(ms_of_start(folder.file("left.sqlite"), resumed));
        if (!resumed) {
            std::fputs("the roast was not gone on with\n", stderr);
            return 1;
        }
    }
    std::printf("plain start %.1f ms, recovery of 20 minutes %.1f ms: %.1f times as long (medians of 7)\n",
                median(plain), median(recovery), median(recovery) / median(plain));
    return 0;
}
