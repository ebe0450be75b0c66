// A dead unit of a bus whose others answer.
#include "service/unit_watch.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

/// Units 1 (bean), 2 (inlet, drum) and 3 (exhaust) of one line.
struct Line {
    Line() {
        for (const char* name : {"bean", "inlet", "drum", "exhaust"})
            channels.push_back(make_channel(name, Unit::celsius));
        bus.name = "line";
        for (std::uint8_t i = 0; i < 4; ++i) {
            ChannelSource& source = bus.channels.emplace_back();
            source.channel = i;
            source.modbus.emplace().unit_id = static_cast<std::uint8_t>(i == 0 ? 1 : i < 3 ? 2 : 3);
        }
        watch = UnitWatch(bus, channels);
    }
    /// A poll in which each channel's reading has that fault, and the tick after it.
    std::vector<std::string> tick(std::vector<LinkFault> faults, Link link = Link::up) {
        PollOutcome outcome;
        outcome.link = link;
        for (std::uint8_t i = 0; link == Link::up && i < 4; ++i) {
            const bool good = faults[i] == LinkFault::none;
            outcome.readings.push_back({i, 100'000, good ? Quality::good : Quality::bad_reply});
            outcome.raws.emplace_back().fault = faults[i];
        }
        watch.take(outcome);
        now = now + 250;
        return watch.judge(now);
    }
    ChannelTable channels;
    BusConfig bus;
    UnitWatch watch;
    Tick now;
};

constexpr LinkFault kFine = LinkFault::none;
constexpr LinkFault kSilent = LinkFault::silent;

}  // namespace

TEST_CASE(
    "a unit that does not answer is said once, with its channels and what to look at first, and when back") {
    Line line;
    CHECK(line.tick({kFine, kFine, kFine, kFine}).empty());
    const Tick began = line.now + 250;
    std::vector<std::string> news;
    while (news.empty() && line.now - began < 5'000) news = line.tick({kFine, kSilent, kSilent, kFine});
    CHECK(line.now - began == 1'000);
    REQUIRE(news.size() == 1);
    CHECK(news[0].starts_with(
        "bus line, unit 2 (inlet, drum): The device does not answer. Does it have power,"));
    CHECK(line.watch.complaints() == news);
    for (int i = 0; i < 40; ++i) CHECK(line.tick({kFine, kSilent, kSilent, kFine}).empty());
    CHECK(line.watch.complaints().size() == 1);
    CHECK(line.tick({kFine, kFine, kFine, kFine}) ==
          std::vector<std::string>{"bus line, unit 2 (inlet, drum) answers again"});
    CHECK(line.watch.complaints().empty());
    CHECK(line.tick({kFine, kFine, kFine, kFine}).empty());
}

TEST_CASE("a unit is dead for whatever leaves nothing of its answers, and not while some of it answers") {
    Line line;
    for (int i = 0; i < 20; ++i) {
        CHECK(line.tick({kFine, kSilent, kFine, LinkFault::exception}).empty());
        CHECK(line.tick({LinkFault::swapped_words, kFine, kSilent, LinkFault::no_number}).empty());
        CHECK(line.tick({kFine, kFine, kFine, kSilent}).empty());  // a single miss
    }
    std::vector<std::string> news;
    for (int i = 0; i < 8 && news.empty(); ++i) news = line.tick({kFine, kFine, kFine, LinkFault::bad_crc});
    REQUIRE(news.size() == 1);
    CHECK(news[0].starts_with("bus line, unit 3 (exhaust): An answer came with a wrong checksum"));
}

TEST_CASE("a link that is down says nothing of its units") {
    Line line;
    for (int i = 0; i < 20; ++i) CHECK(line.tick({}, Link::down).empty());
    std::vector<std::string> news;
    for (int i = 0; i < 8 && news.empty(); ++i) news = line.tick({kSilent, kFine, kFine, kFine});
    CHECK(news.size() == 1);
    for (int i = 0; i < 20; ++i) CHECK(line.tick({}, Link::down).empty());
    CHECK(line.tick({kFine, kFine, kFine, kFine}).size() == 1);
}
