// Captures as files: capped, told, and never in the way of the run.
#include <doctest/doctest.h>
#include <sys/resource.h>

#include <csignal>
#include <filesystem>
#include <fstream>
#include <mutex>

#include "drivers/capture/capture_file.hpp"
#include "drivers/capture/capture_folder.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

std::vector<BusConfig> one_bus() {
    BusConfig bus;
    bus.name = "machine";
    bus.channels.resize(1);
    bus.channels[0].channel = 0;
    return {bus};
}

const ChannelTable kChannels{make_channel("bean", Unit::celsius)};

PollOutcome outcome(Milli milli) {
    PollOutcome made;
    made.link = Link::up;
    made.readings.push_back({0, milli, Quality::good});
    made.raws.emplace_back();
    return made;
}

struct Told {
    std::mutex mutex;
    std::string text;
    CaptureFolder::Tell tell() {
        return [this](const std::string& sentence) {
            const std::lock_guard lock(mutex);
            text += sentence + "\n";
        };
    }
};

}  // namespace

TEST_CASE("what was noted is in the file") {
    TempDir folder;
    Told told;
    std::string path;
    {
        auto capture = CaptureFolder::open({folder.path(), 1'000'000, 1}, one_bus(), kChannels, told.tell());
        REQUIRE_MESSAGE(capture, capture.error());
        path = capture.value()->paths().at(0);
        for (int i = 0; i < 100; ++i) capture.value()->note(0, outcome(200'000 + i));
    }
    auto file = CaptureFile::open(path);
    REQUIRE_MESSAGE(file, file.error());
    CHECK(file.value().header().bus == "machine");
    for (int i = 0; i < 100; ++i) {
        const auto poll = file.value().next();
        REQUIRE((poll && poll.value()));
        CHECK(poll.value()->readings.at(0).value_milli == 200'000 + i);
    }
    const auto end = file.value().next();
    CHECK((end && !end.value()));
    CHECK(told.text.empty());
}

TEST_CASE(
    "levels of discrete inputs stand with their own input, whatever the order in which they were read") {
    TempDir folder;
    Told told;
    std::vector<BusConfig> buses = one_bus();
    buses[0].discrete_inputs = {{5, 1}, {6, 2}, {7, 1}};
    std::string path;
    {
        auto capture = CaptureFolder::open({folder.path(), 100'000, 1}, buses, kChannels, told.tell());
        REQUIRE(capture);
        path = capture.value()->paths().at(0);
        PollOutcome poll = outcome(200'000);
        poll.inputs = {{2, true}, {0, false}, {1, std::nullopt}};
        capture.value()->note(0, poll);
        poll.inputs.clear();
        capture.value()->note(0, poll);
    }
    auto file = CaptureFile::open(path);
    REQUIRE_MESSAGE(file, file.error());
    CHECK(file.value().header().inputs == buses[0].discrete_inputs);
    const auto read = file.value().next();
    REQUIRE((read && read.value()));
    CHECK(read.value()->inputs == std::vector<std::optional<bool>>{false, std::nullopt, true});
    const auto unread = file.value().next();
    REQUIRE((unread && unread.value()));
    CHECK(unread.value()->inputs.empty());
}

TEST_CASE(
    "bytes stand between the polls in their order, count for the cap, and are left out when it is read") {
    TempDir folder;
    Told told;
    std::string path;
    const std::vector<std::uint8_t> frame{0x00, 0x7f, 0xff};
    const std::vector<std::uint8_t> long_one(kMaxCapturedBytes + 1, 0xaa);
    {
        auto capture = CaptureFolder::open({folder.path(), 100'000, 1}, one_bus(), kChannels, told.tell());
        REQUIRE(capture);
        path = capture.value()->paths().at(0);
        capture.value()->note_bytes(0, ByteWay::sent, frame);
        capture.value()->note(0, outcome(200'000));
        capture.value()->note_bytes(0, ByteWay::received, long_one);
        capture.value()->note(0, outcome(200'100));
        for (int i = 0; i < 10'000; ++i) capture.value()->note_bytes(0, ByteWay::sent, frame);
    }
    CHECK(std::filesystem::file_size(path) <= 100'000);
    CHECK(told.text.find("are full") != std::string::npos);
    std::vector<std::string> kinds;
    std::ifstream lines(path);
    for (std::string line; std::getline(lines, line) && kinds.size() < 6;) {
        if (line.find("\"sent\":\"007fff\"") != std::string::npos) kinds.emplace_back("sent");
        if (line.find("\"received\":\"aa") != std::string::npos) kinds.emplace_back("received");
        if (line.find("\"readings\"") != std::string::npos) kinds.emplace_back("poll");
    }
    CHECK(kinds == std::vector<std::string>{"sent", "poll", "received", "received", "poll", "sent"});
    auto file = CaptureFile::open(path);
    REQUIRE(file);
    for (const Milli milli : {200'000, 200'100}) {
        const auto poll = file.value().next();
        REQUIRE((poll && poll.value()));
        CHECK(poll.value()->readings.at(0).value_milli == milli);
    }
    const auto end = file.value().next();
    CHECK((end && !end.value()));
}

TEST_CASE("a capture ends at its cap and says so") {
    TempDir folder;
    Told told;
    std::string path;
    {
        auto capture = CaptureFolder::open({folder.path(), 2'000, 1}, one_bus(), kChannels, told.tell());
        REQUIRE(capture);
        path = capture.value()->paths().at(0);
        for (int i = 0; i < 1000; ++i) capture.value()->note(0, outcome(i));
    }
    CHECK(std::filesystem::file_size(path) <= 2'000);
    CHECK(std::filesystem::file_size(path) > 1'500);
    CHECK(told.text.find("has ended: its 0 MB are full") != std::string::npos);
}

TEST_CASE("a folder that is not there is a sentence at the start, a full disk one later") {
    TempDir folder;
    Told told;
    const auto none =
        CaptureFolder::open({folder.file("none"), 1'000'000, 1}, one_bus(), kChannels, told.tell());
    REQUIRE(!none);
    CHECK(none.error().find("No such file or directory; name a folder") != std::string::npos);

    // A disk that takes no more, made by the limit on the size of a file (setrlimit(2)).
    rlimit before{};
    REQUIRE(::getrlimit(RLIMIT_FSIZE, &before) == 0);
    ::signal(SIGXFSZ, SIG_IGN);
    auto capture = CaptureFolder::open({folder.path(), 1'000'000, 1}, one_bus(), kChannels, told.tell());
    REQUIRE(capture);
    rlimit small = before;
    small.rlim_cur = 500;
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
    for (int i = 0; i < 1000; ++i) capture.value()->note(0, outcome(i));
    capture.value().reset();
    REQUIRE(::setrlimit(RLIMIT_FSIZE, &before) == 0);
    CHECK(told.text.find("has ended: ") != std::string::npos);
    CHECK(told.text.find("File too large") != std::string::npos);
}

TEST_CASE("what is no capture is refused with the number of its line") {
    TempDir folder;
    const auto written = [&](const std::string& text) {
        std::ofstream(folder.file("c.jsonl"), std::ios::binary) << text;
        return folder.file("c.jsonl");
    };
    CHECK(!CaptureFile::open(folder.file("none")));
    CHECK(!CaptureFile::open(written("")));
    CHECK(!CaptureFile::open(written("{}\n")));
    CHECK(!CaptureFile::open(written(std::string(1'000'000, 'x'))));
    const std::string head = capture_header_line({"machine", {"bean"}}) + "\n";
    const std::string poll = "{\"ms\":5,\"link\":\"up\",\"readings\":[]}\n";
    auto bad = CaptureFile::open(written(head + poll + "nonsense\n"));
    REQUIRE(bad);
    CHECK(bad.value().next());
    const auto third = bad.value().next();
    REQUIRE(!third);
    CHECK(third.error() == folder.file("c.jsonl") + ":3: the line is no JSON");
    auto back = CaptureFile::open(written(head + poll + "{\"ms\":4,\"link\":\"up\",\"readings\":[]}\n"));
    REQUIRE(back);
    CHECK(back.value().next());
    CHECK(!back.value().next());
    auto odd = CaptureFile::open(written(head + "{\"ms\":5,\"sent\":\"0x\"}\n" + poll));
    REQUIRE(odd);
    const auto second = odd.value().next();
    REQUIRE(!second);
    CHECK(second.error().find("c.jsonl:2: the line \"sent\" must be pairs") != std::string::npos);
    auto early = CaptureFile::open(written(head + poll + "{\"ms\":4,\"sent\":\"00\"}\n"));
    REQUIRE(early);
    CHECK(early.value().next());
    CHECK(!early.value().next());
    auto cut = CaptureFile::open(written(head + poll + "{\"ms\":9,\"link\":\"u"));
    REQUIRE(cut);
    CHECK(cut.value().next());
    const auto end = cut.value().next();
    CHECK((end && !end.value()));
}
