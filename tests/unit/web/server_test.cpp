#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "sample.hpp"
#include "support/raw_client.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

/// Publishing only posts: asks until the snapshot is there.
void wait_for_status(std::uint16_t port) {
    RawClient client(port);
    while (client.get("/api/status").status == 503) {
    }
}

std::string post_head(const RawClient& client, const std::string& fields, std::size_t length) {
    return "POST /api/alarms/silence HTTP/1.1\r\nHost: " + client.host() + "\r\n" + fields +
           "Content-Length: " + std::to_string(length) + "\r\n\r\n";
}

}  // namespace

TEST_CASE("queries and plain endpoints answer on one kept line") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    RawResponse r = client.get("/api/status");
    CHECK(r.status == 503);
    CHECK(r.fields["content-type"] == "application/problem+json");
    CHECK(client.get("/healthz").status == 503);
    server->publish(sample_published());
    wait_for_status(server->port());
    r = client.get("/api/status");
    CHECK(r.status == 200);
    CHECK(r.fields["content-type"] == "application/json");
    CHECK(r.fields["cache-control"] == "no-store");
    CHECK(json::parse(r.body)["id"] == "3-2368");
    r = client.get("/healthz");
    CHECK(r.status == 200);
    CHECK(r.body == "ok\n");
    r = client.get("/metrics");
    CHECK(r.fields["content-type"] == "application/openmetrics-text; version=1.0.0; charset=utf-8");
    CHECK(r.body.find("drumwatch_http_connections 1\n") != std::string::npos);
    CHECK(json::parse(client.get("/api/history").body)["t_ms"].size() == 1);
    CHECK(json::parse(client.get("/api/history?after=3-2368").body)["t_ms"].empty());
    CHECK(json::parse(client.get("/api/openapi.json").body)["openapi"] == "3.1.0");
}

TEST_CASE("the record is asked with path and query as they came") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    CHECK(client.get("/api/roasts?limit=5&before=9").body == R"({"roasts":[]})");
    RawResponse csv = client.get("/api/roasts/17.csv");
    CHECK(csv.fields["content-type"] == "text/csv; charset=utf-8");
    CHECK(csv.fields["content-disposition"] == "attachment; filename=\"roast_17___.csv\"");
    CHECK(csv.body == "elapsed_s,bean_c\r\n0,195\r\n");
    CHECK(client.get("/api/targets/Fen%20Meadow%2C%20washed").status == 200);
    const RawResponse none = client.get("/api/roasts/99");
    CHECK(none.status == 404);
    CHECK(json::parse(none.body)["detail"] == "There is no such roast or target.");
    RawResponse made = client.get("/api/roasts/98");
    CHECK(made.status == 404);
    CHECK(made.fields["content-type"] == "application/problem+json");
    CHECK(made.fields["x-content-type-options"] == "nosniff");
    CHECK(made.body == R"({"detail":"as it came"})");
    CHECK(station.queries() == std::deque<std::string>{"roasts?limit=5&before=9", "roasts/17.csv?",
                                                       "targets/Fen Meadow, washed?", "roasts/99?",
                                                       "roasts/98?"});
}

TEST_CASE("commands reach the station and a retry carries its id") {
    SampleStation station;
    station.answer = {202, false, "Acted on; the record is failing."};
    const auto server = start_server(station);
    server->publish(sample_published());
    wait_for_status(server->port());
    RawClient client(server->port());
    const std::string body = R"({"client_id":"retry-1","who":"tablet 2","mark":"first_crack","ago_s":1})";
    for (int i = 0; i < 2; ++i) {
        const RawResponse r = client.post("/api/marks", body);
        CHECK(r.status == 202);
        CHECK(json::parse(r.body) == json{{"recorded", false}, {"text", "Acted on; the record is failing."}});
    }
    CHECK(client.post("/api/alarms/7/acknowledge", R"({"client_id":"b"})").status == 202);
    CHECK(client.post("/api/target", R"({"client_id":"c","name":"Fen Meadow, washed","who":"w"})").status ==
          202);
    const auto commands = station.commands();
    REQUIRE(commands.size() == 3);
    CHECK(commands[0].client_id == "retry-1");
    CHECK(commands[1].client_id == "retry-1");
    CHECK(commands[0].at == Tick{591'000});
    CHECK(commands[2].occurrence == 7);
    CHECK(client.post("/api/roasts/17/facts", R"({"client_id":"d","roasted_kg":10.2})").status == 202);
    REQUIRE(station.facts().size() == 1);
    CHECK(station.facts()[0].roast == 17);
    CHECK(station.choices() == std::deque<std::string>{"Fen Meadow, washed|w|c"});
}

TEST_CASE("a station's refusal becomes problem details") {
    SampleStation station;
    station.answer = {409, true, "That alarm is over."};
    const auto server = start_server(station);
    server->publish(sample_published());
    wait_for_status(server->port());
    RawClient client(server->port());
    const RawResponse r = client.post("/api/alarms/7/reset", R"({"client_id":"b"})");
    CHECK(r.status == 409);
    CHECK(json::parse(r.body)["detail"] == "That alarm is over.");
    CHECK(client.post("/api/marks", "{bad").status == 400);
    CHECK(client.post("/api/marks", R"({"client_id":"b"})").status == 422);
    CHECK(station.commands().size() == 1);
}

TEST_CASE("a command before the first snapshot is told to wait") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    CHECK(client.post("/api/alarms/silence", R"({"client_id":"b"})").status == 503);
}

TEST_CASE("a station that never answers is not waited for without end") {
    SampleStation station;
    station.silent = true;
    const auto server = start_server(station);
    server->publish(sample_published());
    wait_for_status(server->port());
    RawClient client(server->port());
    const RawResponse r = client.post("/api/alarms/silence", R"({"client_id":"b"})");
    CHECK(r.status == 504);
    CHECK(r.body.find("same client_id") != std::string::npos);
    CHECK(client.get("/healthz").status != 0);  // the line goes on
}

TEST_CASE("requests from elsewhere are refused and the line survives where it can") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published());
    const std::string origin = "Origin: http://127.0.0.1:" + std::to_string(server->port()) + "\r\n";
    const std::string json_type = "Content-Type: application/json\r\n";
    const auto status_of = [&](const std::string& fields) {
        RawClient client(server->port());
        client.send(post_head(client, fields, 17) + R"({"client_id":"b"})");
        return client.read_response().status;
    };
    CHECK(status_of(origin + json_type + "X-Drumwatch: 1\r\n") != 403);
    CHECK(status_of(json_type + "X-Drumwatch: 1\r\n") == 403);
    CHECK(status_of("Origin: http://evil.example\r\n" + json_type + "X-Drumwatch: 1\r\n") == 403);
    CHECK(status_of(origin + json_type) == 403);
    CHECK(status_of(origin + "Content-Type: text/plain\r\nX-Drumwatch: 1\r\n") == 415);
    RawClient client(server->port());
    client.send("GET /api/status HTTP/1.1\r\nHost: evil.example\r\n\r\n");
    CHECK(client.read_response().status == 421);
    CHECK(client.get("/nothing").status == 404);
    CHECK(client.get("/healthz").status == 200);
}

TEST_CASE("wrong methods are told what can be done") {
    SampleStation station;
    const auto server = start_server(station);
    const auto answer = [&](const std::string& method, const std::string& path) {
        RawClient client(server->port());
        client.send(method + " " + path + " HTTP/1.1\r\nHost: " + client.host() + "\r\n\r\n");
        return client.read_response();
    };
    for (const char* method : {"DELETE", "PUT", "OPTIONS", "TRACE", "PATCH", "POST", "BREW"}) {
        RawResponse r = answer(method, "/api/status");
        CHECK_MESSAGE(r.status == 405, method);
        CHECK(r.fields["allow"] == "GET, HEAD");
    }
    RawResponse r = answer("GET", "/api/marks");
    CHECK(r.status == 405);
    CHECK(r.fields["allow"] == "POST");
}

TEST_CASE("HEAD answers with the length and without a body") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published());
    wait_for_status(server->port());
    RawClient client(server->port());
    const std::string host = "Host: " + client.host() + "\r\n\r\n";
    client.send("HEAD /api/status HTTP/1.1\r\n" + host);
    RawResponse r = client.read_response(true);
    CHECK(r.status == 200);
    CHECK(std::stoi(r.fields["content-length"]) > 500);
    client.send("HEAD /api/live HTTP/1.1\r\n" + host);
    r = client.read_response(true);
    CHECK(r.fields["content-type"] == "text/event-stream");
    CHECK(client.get("/healthz").body == "ok\n");  // nothing was left over on the line
}

TEST_CASE("broken requests get 400 and are closed") {
    SampleStation station;
    const auto server = start_server(station);
    const std::string host = "Host: 127.0.0.1:" + std::to_string(server->port()) + "\r\n";
    const auto status_of = [&](const std::string& text) {
        RawClient client(server->port());
        client.send(text);
        const int status = client.read_response().status;
        CHECK_MESSAGE(client.is_closed(), text);
        return status;
    };
    CHECK(status_of("NONSENSE\r\n\r\n") == 400);
    CHECK(status_of("GET /healthz HTTP/1.1\r\n\r\n") == 400);  // RFC 9112, 3.2: Host is needed
    CHECK(status_of("GET /healthz HTTP/1.1\r\n" + host + host + "\r\n") == 400);  // and once only
    CHECK(status_of("GET healthz HTTP/1.1\r\n" + host + "\r\n") == 400);
    CHECK(status_of("GET /healthz HTTP/1.0\r\n" + host + "\r\n") == 505);
    // RFC 9112, 6.1: both framings at once is how requests are smuggled.
    CHECK(status_of("POST /api/marks HTTP/1.1\r\n" + host +
                    "Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n") == 400);
    CHECK(status_of("POST /api/marks HTTP/1.1\r\n" + host +
                    "Content-Length: 5\r\nContent-Length: 6\r\n\r\n") == 400);
}

TEST_CASE("pipelined requests are answered in order") {
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    const std::string rest = " HTTP/1.1\r\nHost: " + client.host() + "\r\n\r\n";
    client.send("GET /api/roasts" + rest + "GET /nothing" + rest + "GET /api/targets" + rest);
    CHECK(client.read_response().body == R"({"roasts":[]})");
    CHECK(client.read_response().status == 404);
    CHECK(client.read_response().body == R"({"targets":[]})");
}

TEST_CASE("security fields stand on every kind of answer") {
    // OWASP ASVS 5.0, 3.4.3 to 3.4.6 and 14.3.2.
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published());
    RawClient client(server->port());
    for (const char* path :
         {"/api/status", "/api/roasts", "/api/history", "/healthz", "/metrics", "/nothing", "/api/marks"}) {
        RawResponse r = client.get(path);
        CHECK_MESSAGE(r.fields["x-content-type-options"] == "nosniff", path);
        CHECK(r.fields["referrer-policy"] == "no-referrer");
        CHECK(r.fields["cache-control"] == "no-store");
        CHECK(r.fields["content-security-policy"].find("frame-ancestors 'none'") != std::string::npos);
        CHECK(r.fields["content-security-policy"].find("unsafe") == std::string::npos);
        CHECK_FALSE(r.fields.contains("access-control-allow-origin"));
        CHECK_FALSE(r.fields.contains("server"));
    }
}

TEST_CASE("a port in use is refused with what to do") {
    SampleStation station;
    const auto server = start_server(station);
    const auto second = ListeningPort::open("127.0.0.1", server->port());
    REQUIRE_FALSE(second.ok());
    CHECK(second.error().find("in use") != std::string::npos);
    CHECK(second.error().find("web.port") != std::string::npos);
    const auto elsewhere = ListeningPort::open("192.0.2.1", 0);  // RFC 5737: an address that is nobody's
    REQUIRE_FALSE(elsewhere.ok());
    CHECK(elsewhere.error().find("web.host") != std::string::npos);
}

TEST_CASE("an answer that comes after the server's end is dropped") {
    std::function<void(CommandAnswer)> late;
    {
        SampleStation station;
        Api api = station.api();
        api.command = [&late](const Command&, std::function<void(CommandAnswer)> say) {
            late = std::move(say);
        };
        auto port = ListeningPort::open("127.0.0.1", 0);
        REQUIRE(port.ok());
        auto server = Server::start(std::move(port.value()), {}, sample_facts(), api);
        server->publish(sample_published());
        wait_for_status(server->port());
        RawClient client(server->port());
        const std::string body = R"({"client_id":"b"})";
        client.send(post_head(client,
                              "Origin: http://" + client.host() +
                                  "\r\nContent-Type: application/json\r\nX-Drumwatch: 1\r\n",
                              body.size()) +
                    body);
        RawClient other(server->port());
        while (!late && other.get("/healthz").status != 0) {
        }
        server.reset();
        CHECK(client.is_closed());
    }
    REQUIRE(late);
    late({200, true, "too late"});
}
