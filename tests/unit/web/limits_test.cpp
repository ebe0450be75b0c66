#include <doctest/doctest.h>

#include <chrono>
#include <vector>

#include "support/raw_client.hpp"
#include "sample.hpp"

using namespace drumwatch;

namespace {

double seconds_since(std::chrono::steady_clock::time_point start) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

TEST_CASE("a header section over 8 KiB is refused") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    const RawResponse fits = client.get("/api/roasts", "X-Long: " + std::string(7000, 'x') + "\r\n");
    CHECK(fits.status == 200);
    client.send("GET /api/roasts HTTP/1.1\r\nHost: " + client.host() +
                "\r\nX-Long: " + std::string(9000, 'x') + "\r\n\r\n");
    CHECK(client.read_response().status == 431);
    CHECK(client.is_closed());
}

TEST_CASE("a body over 256 KiB is refused before and while it comes") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published());
    const std::string fields = "Content-Type: application/json\r\nX-Drumwatch: 1\r\n";
    RawClient stated(server->port());
    const std::string head = "POST /api/marks HTTP/1.1\r\nHost: " + stated.host() + "\r\nOrigin: http://" +
                             stated.host() + "\r\n" + fields;
    stated.send(head + "Content-Length: 2097152\r\n\r\n");
    CHECK(stated.read_response().status == 413);
    CHECK(stated.is_closed());
    RawClient chunked(server->port());
    chunked.send(head + "Transfer-Encoding: chunked\r\n\r\n");
    const std::string piece = "8000\r\n" + std::string(0x8000, 'x') + "\r\n";
    for (int i = 0; i < 12 && chunked.send(piece); ++i) {
    }
    CHECK(chunked.read_response().status == 413);
    CHECK(chunked.is_closed());
    RawClient fits(server->port());
    const RawResponse r = fits.post("/api/marks", R"({"client_id":")" + std::string(200'000, 'x') + "\"}");
    CHECK(r.status == 422);
}

TEST_CASE("a header that never ends is closed after five seconds") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    const auto start = std::chrono::steady_clock::now();
    client.send("GET /api/roasts HTTP/1.1\r\n");
    CHECK(client.is_closed());
    CHECK(seconds_since(start) > 4.5);
    CHECK(seconds_since(start) < 15);
}

TEST_CASE("a body that never ends is closed after ten seconds") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    const auto start = std::chrono::steady_clock::now();
    client.send("POST /api/marks HTTP/1.1\r\nHost: " + client.host() + "\r\nOrigin: http://" + client.host() +
                "\r\nContent-Type: application/json\r\nX-Drumwatch: 1\r\nContent-Length: 10\r\n\r\n{");
    CHECK(client.is_closed());
    CHECK(seconds_since(start) > 9.5);
    CHECK(seconds_since(start) < 19);
}

TEST_CASE("two hundred idle sockets keep nobody out") {
    SampleStation station;
    const auto server = start_server(station);
    std::vector<RawClient> idle;
    for (int i = 0; i < 200; ++i) {
        idle.emplace_back(server->port(), "127.0.0." + std::to_string(10 + i % 25));
        REQUIRE(idle.back().connected());
    }
    const auto start = std::chrono::steady_clock::now();
    RawClient person(server->port());
    const RawResponse r = person.get("/metrics");
    CHECK(r.status == 200);
    CHECK(seconds_since(start) < 10);
    CHECK(r.body.find("drumwatch_http_connections 64\n") != std::string::npos);
    RawClient same_address(server->port(), "127.0.0.10");
    CHECK(same_address.get("/api/roasts").status == 200);
}

TEST_CASE("one address may have eight busy lines") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published(1));
    std::vector<RawClient> streams;
    for (int i = 0; i < 8; ++i) {
        streams.emplace_back(server->port());
        streams.back().send("GET /api/live HTTP/1.1\r\nHost: " + streams.back().host() + "\r\n\r\n");
        REQUIRE(streams.back().read_response().status == 200);
    }
    RawClient ninth(server->port());
    CHECK(ninth.is_closed());
    RawClient elsewhere(server->port(), "127.0.0.2");
    CHECK(elsewhere.get("/api/roasts").status == 200);
    for (const RawClient& stream : streams) CHECK(stream.connected());
}
