#include "service/bus_room.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <mutex>
#include <thread>

#include "unit/drivers/driver_fixtures.hpp"

using namespace drumwatch;

namespace {

/// One bus whose device is not there.
Config lonely() {
    Config config;
    Channel bean;
    bean.name = "bean";
    bean.role = Role::bean;
    config.channels = {bean};
    BusConfig bus;
    bus.name = "machine";
    bus.host = "127.0.0.1";
    bus.port = 1;  // tcpmux: nobody listens there
    bus.channels.emplace_back().modbus = ModbusSource{};
    config.buses = {bus};
    return config;
}

/// A relay board with a button on discrete input 5, and a station that has a horn on coil 2 of it.
struct Board {
    std::atomic<bool> refuses = false;
    std::atomic<bool> pressed = false;
    std::atomic<int> written = 0;
    RawServer server{[this](RawServer::Connection& to, const Bytes& request) {
        if (request[7] == 2) {
            const std::uint8_t level = pressed ? 1 : 0;
            return to.send({request[0], request[1], 0, 0, 0, 4, request[6], 2, 1, level});
        }
        if (request[7] == 5 && refuses) return to.send(refusal(request, 2));
        if (request[7] == 5) ++written;
        to.send(good_answer(request, 200));
    }};
    std::mutex mutex;
    std::vector<std::function<void()>> posted;
    Config config;
    std::unique_ptr<LatestReadings> latest;
    std::unique_ptr<BusRoom> room;
    Tick now;
    bool polled = true;
    std::vector<std::size_t> presses;
    std::vector<Observation> told;

    Board() {
        config.buses = {modbus_bus(server.port(), {})};
        config.buses[0].writable_coils = {2};
        config.buses[0].discrete_inputs = {{5, 1}};
        SounderConfig horn;
        horn.name = "horn";
        horn.coil = CoilConfig{0, 2};
        config.sounders = {horn};
        ButtonConfig button;
        button.name = "green button";
        button.bus = 0;
        config.buttons = {ButtonConfig{}, button};
        latest = std::make_unique<LatestReadings>(config.channels);
        const auto post = [this](std::function<void()> work) {
            const std::lock_guard lock(mutex);
            posted.push_back(std::move(work));
        };
        room = std::make_unique<BusRoom>(
            config, *latest, post, [this](std::size_t, auto) { polled = true; },
            [this](std::size_t which) { presses.push_back(which); });
    }
    ~Board() { room->stop(); }

    /// A tick of station time, once the poll of the one before has ended.
    void tick(bool horn) {
        const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        do {
            run_posted();
            REQUIRE(std::chrono::steady_clock::now() < give_up);
        } while (!polled);
        polled = false;
        now = now + 250;
        for (const Observation& change : room->judge(now)) told.push_back(change);
        room->drive(now, horn ? 1 : 0);
        room->poll(0);
    }
    void run_posted() {
        std::vector<std::function<void()>> work;
        {
            const std::lock_guard lock(mutex);
            work.swap(posted);
        }
        for (const auto& one : work) one();
        if (work.empty()) std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    void connect() {
        // A tick that is refused a poll takes no time: a busy machine may need a while to open the link.
        const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        while (!room->confirmed(0) && std::chrono::steady_clock::now() < give_up) {
            tick(false);
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
        REQUIRE(room->confirmed(0) == false);
    }
};

}  // namespace

TEST_CASE(
    "a coil that its device refuses is told as a fault after a second, and is well once it is written") {
    Board board;
    board.connect();
    board.tick(false);
    CHECK(board.room->coil_fault(0).empty());
    board.refuses = true;
    const Tick began = board.now;
    while (board.room->coil_fault(0).empty() && board.now - began < 10'000) board.tick(true);
    CHECK(board.now - began >= 1'000);
    CHECK(board.now - began <= 2'000);
    CHECK(board.room->coil_fault(0).find("the device refuses coil 2: illegal data address") == 0);
    board.refuses = false;
    const Tick mended = board.now;
    while (!board.room->coil_fault(0).empty() && board.now - mended < 10'000) board.tick(true);
    CHECK(board.now - mended <= 1'000);
    CHECK(board.room->confirmed(0) == true);
}

TEST_CASE("a level that stays is written again every ten seconds, and not more often") {
    Board board;
    board.connect();
    const int before = board.written;
    for (int i = 0; i < 4 * 60; ++i) board.tick(false);
    CHECK(board.written - before >= 5);
    CHECK(board.written - before <= 6);
}

TEST_CASE("a press on a bus is one, however long it lasts, and a button held at the start is none") {
    Board board;
    board.pressed = true;
    board.connect();
    for (int i = 0; i < 4; ++i) board.tick(false);
    CHECK(board.presses.empty());
    board.pressed = false;
    for (int i = 0; i < 4; ++i) board.tick(false);
    board.pressed = true;
    for (int i = 0; i < 8; ++i) board.tick(false);
    CHECK(board.presses == std::vector<std::size_t>{1});
}

TEST_CASE("a bus that was silent before a restart stays so until it answers, and that is told") {
    Board board;
    board.now = {500'000};
    board.room->begin(board.now, 1);
    CHECK(board.room->judge(board.now).empty());
    while (board.told.empty() && board.now.ms < 50'000'000) board.tick(false);
    REQUIRE(board.told.size() == 1);
    CHECK(board.told[0].health == Health::bus_silent);
    CHECK_FALSE(board.told[0].bad);
}

TEST_CASE("a bus is silent when it was asked in vain for a second, not when the box stood still") {
    const Config config = lonely();
    LatestReadings latest(config.channels);
    const auto nobody = [](std::function<void()>) {};
    BusRoom room(config, latest, nobody, [](std::size_t, auto) {});
    room.poll(0);
    CHECK(room.judge({250}).empty());
    CHECK(room.judge({60'000}).empty());  // a minute of ticks at once, and one question
    CHECK(room.silent_channels() == 0);
    room.poll(0);
    const auto changes = room.judge({60'250});
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].health == Health::bus_silent);
    CHECK(changes[0].bad);
    CHECK(room.silent_channels() == 1);
    REQUIRE(room.complaints().size() == 1);
    CHECK(room.complaints()[0].find("bus machine") == 0);
    room.stop();
}
