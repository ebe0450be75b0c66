// The child that kill_test.cpp kills: opens a record, begins a watch with a roast in the drum, and appends
// frames and commands for ever. Prints "found SENTENCE" and, for each command that the recorder answered as
// recorded, "ack CLIENT_ID".
#include <chrono>
#include <cstdio>
#include <thread>

#include "record/recorder.hpp"
#include "support/sample_record.hpp"

int main(int, char** arguments) {
    using namespace drumwatch;
    auto opened = Recorder::open({arguments[1]});
    if (!opened) {
        std::printf("refused %s\n", opened.error().c_str());
        return 1;
    }
    Recorder& recorder = *opened.value();
    const std::uint64_t watch = recorder.found().next_watch;
    const std::uint64_t roast = recorder.found().next_roast;
    for (const std::string& sentence : recorder.found().sentences)
        std::printf("found %s\n", sentence.c_str());
    std::fflush(stdout);
    recorder.begin_watch(sample_watch(watch));
    recorder.busy(true);
    RoastRecord row = sample_roast_row(roast, watch, 0, 600);
    row.state = RoastState::roasting;
    row.drop.reset();
    recorder.put(row);
    const auto frames = sample_roast(watch, 0, 600);
    for (std::size_t i = 0;; ++i) {
        Frame frame = frames[i % frames.size()];
        frame.tick = {static_cast<std::int64_t>(i) * 250};
        recorder.append(frame);
        recorder.append(sample_event(0, roast, frame.tick.ms));
        const std::string id = std::to_string(watch) + "-" + std::to_string(i);
        recorder.append(sample_command(0, frame.tick.ms, id), [id](bool ok) {
            if (!ok) return;
            std::printf("ack %s\n", id.c_str());
            std::fflush(stdout);
        });
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
}
