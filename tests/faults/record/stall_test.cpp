// A disk that neither fails nor answers: the recorder's thread hangs in it, everything else goes on.
#include <doctest/doctest.h>

#include <chrono>
#include <thread>

#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "support/fault_vfs.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

template <typename Condition>
bool comes(std::chrono::seconds within, const Condition& condition) {
    const auto give_up = std::chrono::steady_clock::now() + within;
    while (!condition()) {
        if (std::chrono::steady_clock::now() > give_up) return false;
        std::this_thread::sleep_for(20ms);  // between looks; ends by what it finds
    }
    return true;
}

}  // namespace

TEST_CASE("a disk that doesn't answer is said to fail after its time, delays nobody, and catches up") {
    TempDir folder;
    FaultVfs disk;
    RecorderSettings settings;
    settings.path = folder.file("record.sqlite");
    auto opened = Recorder::open(settings);
    REQUIRE_MESSAGE(opened, opened.error());
    Recorder& recorder = *opened.value();
    recorder.begin_watch(sample_watch(1));
    recorder.busy(true);
    REQUIRE(comes(20s, [&] { return recorder.status().commits > 0; }));

    disk.stall(true);
    const auto stalled = std::chrono::steady_clock::now();
    const auto frames = sample_roast(1, 0, 60);
    std::chrono::steady_clock::duration longest{};
    for (const Frame& frame : frames) {
        const auto before = std::chrono::steady_clock::now();
        recorder.append(frame);
        longest = std::max(longest, std::chrono::steady_clock::now() - before);
    }
    CHECK(longest < 1s);
    REQUIRE(comes(10s, [&] { return recorder.status().at_disk; }));
    CHECK(recorder.status().writing);  // a sync may take seconds
    REQUIRE(comes(30s, [&] { return !recorder.status().writing; }));
    CHECK(std::chrono::steady_clock::now() - stalled >= 10s);
    CHECK(recorder.status().complaint.find("the disk has not answered for 1") == 0);
    CHECK(recorder.status().at_disk);

    disk.stall(false);
    CHECK(comes(20s, [&] { return recorder.status().writing && recorder.status().waiting == 0; }));
    opened.value().reset();
    const auto reader = RecordReader::open(settings.path);
    REQUIRE(reader);
    const auto stored = reader.value()->frames(1, Tick{0}, Tick{60'000});
    REQUIRE(stored);
    CHECK(same_frames(stored.value(), frames));
}

}  // namespace drumwatch
