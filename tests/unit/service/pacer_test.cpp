#include "service/pacer.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <string>
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
        calls.poll = [this](std::size_t) { ++polls; };
        calls.lead_us = [](std::size_t) { return 0; };
        calls.tick = [this](Tick at) { ticks.push_back(at.ms); };
        pacer = make_stepped_pacer(core, 250, 1, first, std::move(calls));
        pacer->start();
    }
    void answer(std::uint32_t machine_ms) { pacer->polled(0, true, machine_ms); }
};

/// A clock pacer of several buses; what happens is written down in its order. It ends with the tick `last`.
struct Clocked {
    boost::asio::io_context core;
    StationClock clock{1};
    std::vector<std::string> happened;
    std::function<void(std::size_t)> poll = [](std::size_t) {};
    std::unique_ptr<Pacer> pacer;

    Clocked(std::size_t buses, std::int64_t last, std::function<std::int64_t(std::size_t)> lead_us) {
        PacerCalls calls;
        calls.poll = [this](std::size_t bus) {
            happened.push_back("poll " + std::to_string(bus));
            poll(bus);
        };
        calls.lead_us = std::move(lead_us);
        calls.tick = [this, last](Tick at) {
            happened.push_back("tick " + std::to_string(at.ms));
            if (at.ms >= last) pacer->stop();
        };
        pacer = make_clock_pacer(core, clock, 250, buses, Tick{}, std::move(calls));
    }
    void answer_at_once(std::size_t bus) {
        boost::asio::post(core, [this, bus] { pacer->polled(bus, false, std::nullopt); });
    }
    /// Whether those happened one after the other, somewhere, and then a tick.
    bool then_a_tick(const std::vector<std::string>& before) const {
        const auto found = std::search(happened.begin(), happened.end(), before.begin(), before.end());
        if (found == happened.end()) return false;
        const auto next = found + static_cast<std::ptrdiff_t>(before.size());
        return next != happened.end() && next->starts_with("tick ");
    }
};

}  // namespace

TEST_CASE("clock: each bus is polled by its own lead, and a slow one does not make the quick one early") {
    Clocked at(2, 1'000, [](std::size_t bus) { return bus == 0 ? 5'000 : 150'000; });
    at.poll = [&](std::size_t bus) { at.answer_at_once(bus); };
    at.pacer->start();
    at.core.run();
    CHECK(at.then_a_tick({"poll 1", "poll 0"}));
}

TEST_CASE("clock: a tick waits a little for an answer that is late") {
    Clocked at(1, 1'000, [](std::size_t) { return 1'000; });
    boost::asio::steady_timer late(at.core);
    at.poll = [&](std::size_t) {
        late.expires_after(kGrace / 2);
        late.async_wait([&](boost::system::error_code) {
            at.happened.emplace_back("answer");
            at.pacer->polled(0, false, std::nullopt);
        });
    };
    at.pacer->start();
    at.core.run();
    CHECK(at.then_a_tick({"poll 0", "answer"}));
}

TEST_CASE("clock: an answer that never comes holds no tick up for good") {
    Clocked at(1, 1'000, [](std::size_t) { return 1'000; });
    at.pacer->start();
    at.core.run();
    CHECK(at.happened.back().starts_with("tick "));
}

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
    at.pacer->polled(0, true, std::nullopt);
    CHECK(at.ticks.empty());
    CHECK(at.polls == 1);
    at.core.run_one();  // its timer
    CHECK(at.polls == 2);
    at.pacer->stop();
}
