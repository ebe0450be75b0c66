#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "web/guard.hpp"
#include "web/http.hpp"
#include "web/problem.hpp"
#include "web/routes.hpp"

using namespace drumwatch;

TEST_CASE("percent-decoding takes whole escapes only") {
    // RFC 3986, 2.1; the coffee's name as encodeURIComponent writes it.
    CHECK(percent_decoded("Fen%20Meadow%2C%20washed") == "Fen Meadow, washed");
    CHECK(percent_decoded("caf%C3%A9") == "caf\xC3\xA9");
    CHECK(percent_decoded("100%") == "100%");
    CHECK(percent_decoded("%4") == "%4");
    CHECK(percent_decoded("%zz%41") == "%zzA");
}

TEST_CASE("a query gives the value of a key") {
    CHECK(query_value("limit=20&after=3-1042", "after") == "3-1042");
    CHECK(query_value("after=&x=1", "after").empty());
    CHECK(query_value("hereafter=1", "after").empty());
    CHECK(query_value("a&b=%31", "b") == "1");
    CHECK(query_value("", "b").empty());
}

TEST_CASE("a head carries the length or says that it is chunked") {
    Response response = text_response(200, "text/plain; charset=utf-8", "hello");
    const std::string head = head_text(response, true, false);
    CHECK(head.starts_with("HTTP/1.1 200 OK\r\nContent-Type: text/plain; charset=utf-8\r\n"));
    CHECK(head.find("\r\nContent-Length: 5\r\n") != std::string::npos);
    CHECK(head.ends_with("Connection: keep-alive\r\n\r\n"));
    const std::string stream = head_text(response, true, true);
    CHECK(stream.find("Content-Length") == std::string::npos);
    CHECK(stream.find("\r\nTransfer-Encoding: chunked\r\n") != std::string::npos);
}

TEST_CASE("problem details have the members of RFC 9457") {
    const Response response = problem(422, "Broken \xFF text.", {{"/to", "Must be a number."}});
    CHECK(response.content_type == "application/problem+json");
    const auto json = nlohmann::json::parse(*response.text);
    CHECK(json["type"] == "about:blank");  // RFC 9457, 4.2.1: then the title is the status' own phrase
    CHECK(json["title"] == "Unprocessable Content");
    CHECK(json["status"] == 422);
    CHECK(json["errors"][0]["pointer"] == "/to");
}

TEST_CASE("routes take ids, names and the right methods") {
    CHECK(find_route("GET", "/api/status").route->endpoint == Endpoint::status);
    CHECK(find_route("HEAD", "/api/status").route->endpoint == Endpoint::status);
    const RouteMatch alarm = find_route("POST", "/api/alarms/7/acknowledge");
    REQUIRE(alarm.route != nullptr);
    CHECK(alarm.route->endpoint == Endpoint::acknowledge);
    CHECK(alarm.parameter == "7");
    CHECK(find_route("GET", "/api/targets/Fen%20Meadow").parameter == "Fen Meadow");
    CHECK(find_route("GET", "/api/roasts/17.csv").route->path == "/api/roasts/{id}.csv");
    CHECK(find_route("GET", "/api/roasts/17").route->path == "/api/roasts/{id}");
    for (const char* path :
         {"/api/roasts/0", "/api/roasts/-1", "/api/roasts/1e3", "/api/roasts/.csv",
          "/api/roasts/9999999999999999", "/api/roasts/1/2", "/api/targets/", "/api", "//"}) {
        const RouteMatch none = find_route("GET", path);
        CHECK_MESSAGE(none.route == nullptr, path);
        CHECK_MESSAGE(none.allow.empty(), path);
    }
}

TEST_CASE("a wrong method is told the right one") {
    CHECK(find_route("DELETE", "/api/status").allow == "GET, HEAD");
    CHECK(find_route("GET", "/api/marks").allow == "POST");
    CHECK(find_route("GET", "/api/marks").route == nullptr);
    CHECK(find_route("TRACE", "/api/marks").route == nullptr);
}

TEST_CASE("only our own host names are answered") {
    const Guard guard("192.0.2.7", 8420, {"Roastery.local", "mill.example:80", "2001:db8::7"});
    const auto ok = [&](const std::string& host) {
        Request request;
        request.host = host;
        const auto refusal = guard.check_host(request);
        if (refusal) CHECK(refusal->status == 421);
        return !refusal.has_value();
    };
    for (const char* host :
         {"192.0.2.7:8420", "192.0.2.7", "localhost:8420", "LOCALHOST", "127.0.0.1:8420", "[::1]:8420",
          "roastery.local", "roastery.local:8420", "mill.example:80", "[2001:db8::7]:8420"}) {
        CHECK_MESSAGE(ok(host), host);
    }
    for (const char* host :
         {"", "evil.example", "evil.example:8420", "localhost:80", "localhost.evil.example",
          "roastery.local:9", "mill.example", "127.0.0.1.evil.example:8420"}) {
        CHECK_MESSAGE(!ok(host), host);
    }
}

TEST_CASE("a change needs the page's own origin, our field and JSON") {
    const Guard guard("127.0.0.1", 8420, {});
    Request good;
    good.host = "localhost:8420";
    good.origin = "http://localhost:8420";
    good.drumwatch = "1";
    good.content_type = "application/json; charset=utf-8";
    CHECK_FALSE(guard.check_change(good));
    const auto refused = [&](std::string Request::*member, const std::string& value) {
        Request request = good;
        request.*member = value;
        const auto refusal = guard.check_change(request);
        return refusal ? refusal->status : 0;
    };
    CHECK(refused(&Request::origin, "") == 403);
    CHECK(refused(&Request::origin, "null") == 403);
    CHECK(refused(&Request::origin, "http://evil.example") == 403);
    CHECK(refused(&Request::origin, "http://localhost:8421") == 403);
    CHECK(refused(&Request::origin, "http://localhost:8420.evil.example") == 403);
    CHECK(refused(&Request::drumwatch, "") == 403);
    CHECK(refused(&Request::content_type, "text/plain") == 415);
    CHECK(refused(&Request::content_type, "") == 415);
    CHECK(refused(&Request::content_type, "application/jsonp") == 415);
    CHECK(refused(&Request::content_type, "text/plain; application/json") == 415);
}
