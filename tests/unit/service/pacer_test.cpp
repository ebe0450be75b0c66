#include "service/pacer.hpp"

#include <doctest/doctest.h>

#include <boost/asio/io_context.hpp>
#include <vector>

using namespace drumwatch;

namespace {

/// A stepped pacer whose machine's time the test tells.
struct Stepped {
    boost::asio::io_context core;
    std::vector<std::int64_t> ticks;
    int polls = 0;
    std::unique_ptr<Pacer> pacer;

    explicit Stepped(Tick first = {}) {
        PacerCalls calls;
        calls.poll_all = [this] { ++polls; };
        calls.lead_us = [] { return 0; };
        calls.tick = [this](Tick at) { ticks.push_back(at.ms); };
        pacer = make_stepped_pacer(core, 250, 1, first, std::move(calls));
        pacer->start();
    }
    void answer(std::uint32_t machine_ms) { pacer->polled(true, machine_ms); }
};

}  // namespace

TEST_CASE("stepped: every grid instant up to the machine's time, once, and then the next poll") {
    Stepped at;
    at.answer(10'000);
    CHECK(at.ticks == std::vector<std::int64_t>{0});
    at.answer(10'100);
    CHECK(at.ticks.size() == 1);
    at.answer(10'760);
    CHECK(at.ticks == std::vector<std::int64_t>{0, 250, 500, 750});
    CHECK(at.polls == 4);
}

TEST_CASE("stepped: a machine that starts anew, or whose time leaps, goes on from the next tick") {
    for (const std::uint32_t then : {std::uint32_t{0}, std::uint32_t{4'000'000'000}}) {
        CAPTURE(then);
        Stepped at;
        at.answer(500'000);
        at.answer(500'250);
        at.answer(then);
        at.answer(then + 250);
        CHECK(at.ticks == std::vector<std::int64_t>{0, 250, 500, 750});
    }
}

TEST_CASE("stepped: without an answer it asks again and makes no tick") {
    Stepped at;
    at.pacer->polled(true, std::nullopt);
    CHECK(at.ticks.empty());
    CHECK(at.polls == 1);
    at.core.run_one();  // its timer
    CHECK(at.polls == 2);
    at.pacer->stop();
}
