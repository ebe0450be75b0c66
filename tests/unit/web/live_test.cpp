#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <thread>

#include "support/raw_client.hpp"
#include "sample.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

struct Event {
    std::string id;
    std::string name;
    json data;
};

void open_stream(RawClient& client, const std::string& target = "/api/live", const std::string& fields = "") {
    client.send("GET " + target + " HTTP/1.1\r\nHost: " + client.host() + "\r\n" + fields + "\r\n");
}

/// The next event with data; comments and chunk sizes are passed over (events stand in one chunk each).
Event next_event(RawClient& client) {
    for (;;) {
        const std::string text = client.read_until("\n\n");
        if (text.empty()) return {};
        Event event;
        const auto line = [&](const std::string& key) {
            const std::size_t at = text.find(key);
            if (at == std::string::npos) return std::string();
            const std::size_t from = at + key.size();
            return text.substr(from, text.find('\n', from) - from);
        };
        event.id = line("\nid: ");
        event.name = line("event: ");
        const std::string data = line("\ndata: ");
        if (data.empty()) continue;
        event.data = json::parse(data);
        return event;
    }
}

}  // namespace

TEST_CASE("a stream begins with the history and goes on with each tick") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published(2000));
    RawClient client(server->port());
    open_stream(client);
    RawResponse head = client.read_response();
    CHECK(head.status == 200);
    CHECK(head.fields["content-type"] == "text/event-stream");
    CHECK(head.fields["cache-control"] == "no-store");
    CHECK(client.read_until("\n\n").find("retry: ") != std::string::npos);
    Event event = next_event(client);
    CHECK(event.name == "history");
    CHECK(event.id == "3-2000");
    CHECK(event.data["t_ms"] == json{500'000});
    event = next_event(client);
    CHECK(event.name == "status");
    CHECK(event.id == "3-2000");
    for (std::uint64_t i = 2001; i <= 2010; ++i) {
        server->publish(sample_published(i));
        event = next_event(client);
        CHECK(event.name == "status");
        CHECK(event.id == "3-" + std::to_string(i));
        CHECK(event.data["sequence"] == i);
    }
}

TEST_CASE("a stream opened before the first snapshot waits for it") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    open_stream(client);
    client.read_response();
    client.read_until("\n\n");
    server->publish(sample_published(5));
    CHECK(next_event(client).name == "history");
    CHECK(next_event(client).id == "3-5");
}

TEST_CASE("a tablet that comes back misses nothing") {
    SampleStation station;
    const auto server = start_server(station);
    for (std::uint64_t i = 2000; i <= 2040; ++i) server->publish(sample_published(i));
    const auto first = [&](const std::string& target, const std::string& fields) {
        RawClient client(server->port());
        open_stream(client, target, fields);
        return next_event(client).data;
    };
    const json by_field = first("/api/live", "Last-Event-ID: 3-2030\r\n");
    CHECK(by_field["from"] == 2031);
    CHECK(by_field["t_ms"].size() == 10);
    CHECK(first("/api/live?after=3-2038", "")["t_ms"].size() == 2);
    // The field is newer than the address, which a browser repeats unchanged when it reconnects.
    CHECK(first("/api/live?after=3-2001", "Last-Event-ID: 3-2039\r\n")["t_ms"].size() == 1);
    CHECK(first("/api/live?after=3-2040", "")["t_ms"].empty());
    CHECK(first("/api/live?after=2-2039", "")["t_ms"].size() == 41);
    CHECK(first("/api/live?after=nonsense", "")["t_ms"].size() == 41);
}

TEST_CASE("a new watch begins with its own history") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published(100));
    RawClient client(server->port());
    open_stream(client);
    next_event(client);
    next_event(client);
    Snapshot snapshot = sample_snapshot(1);
    snapshot.watch = 4;
    server->publish(
        {std::make_shared<const Snapshot>(snapshot), std::make_shared<const BoxState>(sample_box())});
    const Event event = next_event(client);
    CHECK(event.name == "history");
    CHECK(event.data["watch"] == 4);
    CHECK(next_event(client).id == "4-1");
}

TEST_CASE("a client that reads nothing delays nobody and is closed") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published(1));
    RawClient slow(server->port(), "127.0.0.2", 4096);
    open_stream(slow);
    RawClient quick(server->port());
    open_stream(quick);
    next_event(quick);
    next_event(quick);
    // 1 MB of events: the slow one's buffers hold some dozen kilobytes of them.
    std::uint64_t sequence = 1;
    while (sequence < 300) {
        server->publish(sample_published(++sequence));
        const Event event = next_event(quick);
        REQUIRE(event.id == "3-" + std::to_string(sequence));
    }
    RawClient third(server->port());
    // Ten seconds without progress end the slow one; the others are served meanwhile.
    bool gone = false;
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(60);
    while (!gone && std::chrono::steady_clock::now() < give_up) {
        server->publish(sample_published(++sequence));
        REQUIRE(next_event(quick).id == "3-" + std::to_string(sequence));
        std::this_thread::sleep_for(std::chrono::milliseconds(20));  // only to spare the processor
        gone = third.get("/metrics").body.find("drumwatch_http_streams 1\n") != std::string::npos;
    }
    CHECK(gone);
    // What the kernel had taken for it is all that it was ever given.
    std::size_t given = 0;
    for (;;) {
        const std::string piece = slow.read_until("\n\n");
        if (piece.empty()) break;
        given += piece.size();
    }
    MESSAGE("bytes given to the client that did not read: " << given);
    CHECK(given < 200'000);
    CHECK(given > 0);
}

TEST_CASE("a slow client gets the newest and the missed points in one piece") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published(1));
    RawClient slow(server->port(), "127.0.0.2", 4096);
    open_stream(slow);
    RawClient quick(server->port());
    open_stream(quick);
    next_event(quick);
    next_event(quick);
    for (std::uint64_t i = 2; i <= 60; ++i) {
        server->publish(sample_published(i));
        next_event(quick);
    }
    // Now it reads: whatever comes, every tick is there once, in histories or as a status.
    std::uint64_t reached = 0;
    std::size_t events = 0;
    while (reached < 60) {
        const Event event = next_event(slow);
        REQUIRE(!event.name.empty());
        ++events;
        if (event.name == "history") {
            if (!event.data["t_ms"].empty()) {
                CHECK(event.data["from"] == reached + 1);
                reached = event.data["from"].get<std::uint64_t>() + event.data["t_ms"].size() - 1;
            }
        } else {
            const auto sequence = event.data["sequence"].get<std::uint64_t>();
            CHECK((sequence == reached || sequence == reached + 1));
            reached = sequence;
        }
    }
    CHECK(events < 45);  // it was not sent them all one by one
}

TEST_CASE("a burst of snapshots from several threads keeps the newest") {
    SampleStation station;
    const auto server = start_server(station);
    for (std::uint64_t i = 1; i <= 5000; ++i) server->publish(sample_published(i));
    std::vector<std::thread> others;
    for (int t = 0; t < 3; ++t) {
        others.emplace_back([&] {
            for (int i = 0; i < 200; ++i) server->publish(sample_published(5000));
        });
    }
    for (std::thread& other : others) other.join();
    RawClient client(server->port());
    open_stream(client);
    Event event = next_event(client);
    while (event.id != "3-5000") {
        REQUIRE(!event.name.empty());
        event = next_event(client);
    }
    CHECK(event.data["watch"] == 3);
}

TEST_CASE("the server ends with open streams and waiting clients") {
    SampleStation station;
    auto server = start_server(station);
    server->publish(sample_published(1));
    std::vector<RawClient> streams;
    for (int i = 0; i < 6; ++i) {
        streams.emplace_back(server->port());
        open_stream(streams.back());
        next_event(streams.back());
    }
    RawClient idle(server->port());
    RawClient half(server->port());
    half.send("GET /api/st");
    server.reset();
    for (RawClient& stream : streams) CHECK(stream.is_closed());
    CHECK(idle.is_closed());
    CHECK(half.is_closed());
}

TEST_CASE("a stream ends when the tablet goes away") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published(1));
    {
        RawClient client(server->port());
        open_stream(client);
        next_event(client);
    }
    RawClient other(server->port());
    while (other.get("/metrics").body.find("drumwatch_http_streams 0\n") == std::string::npos) {
    }
    CHECK(other.get("/healthz").status == 200);
}
