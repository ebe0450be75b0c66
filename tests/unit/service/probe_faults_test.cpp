// How often each fault of a probe began.
#include "service/probe_faults.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

std::uint32_t count(const ProbeFaultBook& book, std::size_t channel, ProbeFault fault) {
    return book.counts(channel)[static_cast<std::size_t>(fault)];
}

}  // namespace

TEST_CASE("a fault is counted when it begins, not while it lasts, and at its own channel") {
    const ChannelTable channels = {make_channel("bean", Unit::celsius),
                                   make_channel("exhaust", Unit::celsius)};
    ProbeFaultBook book(channels.size());
    Snapshot snapshot;
    const auto judge = [&](Quality bean) {
        snapshot.channel[0].quality = bean;
        return book.take(snapshot, channels).size();
    };
    for (const Quality quality :
         {Quality::good, Quality::suspect, Quality::short_circuit, Quality::short_circuit, Quality::good,
          Quality::bus_silent, Quality::suspect, Quality::good, Quality::bad_reply})
        CHECK(judge(quality) == 0);
    CHECK(count(book, 0, ProbeFault::suspect) == 2);
    CHECK(count(book, 0, ProbeFault::short_circuit) == 1);
    for (std::size_t i = 0; i < kProbeFaults; ++i) CHECK(book.counts(1)[i] == 0);
    CHECK(count(book, 0, ProbeFault::none) == 0);
}

TEST_CASE("a doubt is counted, and told when it begins and when it ends") {
    const ChannelTable channels = {make_channel("bean", Unit::celsius)};
    ProbeFaultBook book(channels.size());
    Snapshot snapshot;
    snapshot.channel[0].quality = Quality::good;
    snapshot.channel[0].doubt = ProbeDoubt::noisy;
    const auto began = book.take(snapshot, channels);
    REQUIRE(began.size() == 1);
    CHECK(began[0].starts_with("bean: Single readings jump out and back again"));
    CHECK(began[0].ends_with(look_first(ProbeFault::noisy)));
    CHECK(book.take(snapshot, channels).empty());
    snapshot.channel[0].doubt = ProbeDoubt::none;
    const auto ended = book.take(snapshot, channels);
    REQUIRE(ended.size() == 1);
    CHECK(ended[0] == "bean: no longer noisy");
    CHECK(count(book, 0, ProbeFault::noisy) == 1);
}
