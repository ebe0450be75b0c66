// openapi.json and the server, held against each other in both directions.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <set>

#include "sample.hpp"
#include "schema_check.hpp"
#include "support/raw_client.hpp"
#include "web/openapi.hpp"
#include "web/routes.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

json openapi() {
    const auto bytes = openapi_text();
    return json::parse(bytes.begin(), bytes.end());
}

std::string filled(std::string path, const std::string& id) {
    for (const auto& [name, value] :
         {std::pair<std::string, std::string>{"{id}", id}, {"{name}", "Fen%20Meadow%2C%20washed"}}) {
        const std::size_t at = path.find(name);
        if (at != std::string::npos) path.replace(at, name.size(), value);
    }
    return path;
}

/// A body that the schema asks for: required keys, each with the plainest value that fits.
json plain_body(const json& schema) {
    json body = json::object();
    json required = schema.at("required");
    if (schema.contains("anyOf")) required.push_back(schema["anyOf"][0]["required"][0]);
    for (const json& key : required) {
        const json& of_key = schema["properties"][key.get<std::string>()];
        if (of_key.contains("enum")) {
            body[key.get<std::string>()] = of_key["enum"][0];
        } else if (of_key["type"] == "number" || of_key["type"] == json::array({"number", "null"})) {
            body[key.get<std::string>()] = of_key.value("minimum", 0.0);
        } else {
            body[key.get<std::string>()] = "x";
        }
    }
    return body;
}

const json& resolved(const json& document, const json& node) {
    if (!node.contains("$ref")) return node;
    return document.at(json::json_pointer(node["$ref"].get<std::string>().substr(1)));
}

/// The answer is one that the operation lists: status, media type, and schema of a JSON body.
void check_listed(const json& document, const json& operation, RawResponse& response,
                  const std::string& what) {
    INFO(what);
    INFO(response.body.substr(0, 500));
    const std::string status = std::to_string(response.status);
    REQUIRE(operation["responses"].contains(status));
    const json& content = resolved(document, operation["responses"][status])["content"];
    const std::string given = response.fields["content-type"];
    const std::string type = given.substr(0, given.find(';'));
    REQUIRE(content.contains(type));
    if (!content[type].contains("schema")) return;
    for (const std::string& one :
         schema_mismatches(document, content[type]["schema"], json::parse(response.body))) {
        FAIL_CHECK(one);
    }
}

}  // namespace

TEST_CASE("every route stands in openapi.json and the other way round") {
    const json document = openapi();
    std::set<std::string> in_file;
    for (const auto& [path, methods] : document["paths"].items()) {
        for (const auto& [method, operation] : methods.items()) in_file.insert(method + " " + path);
    }
    std::set<std::string> in_server{"get /"};  // the page, which is no route but a file
    for (const Route& route : routes()) {
        in_server.insert((route.method == "GET" ? "get " : "post ") + std::string(route.path));
    }
    for (const std::string& one : in_file) CHECK_MESSAGE(in_server.contains(one), one);
    for (const std::string& one : in_server) CHECK_MESSAGE(in_file.contains(one), one);
}

TEST_CASE("every operation of openapi.json answers as it says") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published());
    const json document = openapi();
    RawClient client(server->port());
    while (client.get("/api/status").status == 503) {
    }
    std::size_t asked = 0;
    for (const auto& [path, methods] : document["paths"].items()) {
        if (path == "/" || path == "/api/live") continue;  // the page's own test; the stream's follows
        if (methods.contains("get")) {
            RawResponse r = client.get(filled(path, "17"));
            CHECK_MESSAGE(r.status == 200, path);
            check_listed(document, methods["get"], r, "GET " + path);
            ++asked;
            if (path.find('{') == std::string::npos) continue;
            RawResponse none =
                client.get(filled(path, "99").append(path.find("{name}") != std::string::npos ? "x" : ""));
            CHECK_MESSAGE(none.status == 404, path);
            check_listed(document, methods["get"], none, "GET of nothing " + path);
        } else {
            const json& schema =
                resolved(document, methods["post"]["requestBody"]["content"]["application/json"]["schema"]);
            const json body = plain_body(schema);
            RawResponse r = client.post(filled(path, "7"), body.dump());
            CHECK_MESSAGE(r.status == 200, path << " " << body.dump() << " " << r.body);
            check_listed(document, methods["post"], r, "POST " + path);
            json more = body;
            more["surprise"] = 1;
            RawResponse wrong = client.post(filled(path, "7"), more.dump());
            CHECK_MESSAGE(wrong.status == 422, path);
            check_listed(document, methods["post"], wrong, "POST with an unknown key " + path);
            RawResponse broken = client.post(filled(path, "7"), "{");
            CHECK_MESSAGE(broken.status == 400, path);
            check_listed(document, methods["post"], broken, "POST of no JSON " + path);
            ++asked;
        }
    }
    CHECK(asked == routes().size() - 1);
}

TEST_CASE("the stream's events have the schemas that openapi.json names") {
    SampleStation station;
    const auto server = start_server(station);
    server->publish(sample_published());
    const json document = openapi();
    RawClient client(server->port());
    client.send("GET /api/live HTTP/1.1\r\nHost: " + client.host() + "\r\n\r\n");
    RawResponse head = client.read_response();
    check_listed(document, document["paths"]["/api/live"]["get"], head, "GET /api/live");
    for (const char* schema : {"History", "Status"}) {
        client.read_until("data: ");
        const std::string data = client.read_until("\n\n");
        const auto mismatches =
            schema_mismatches(document, document["components"]["schemas"][schema], json::parse(data));
        CHECK_MESSAGE(mismatches.empty(), schema << ": " << (mismatches.empty() ? "" : mismatches.front()));
    }
}
