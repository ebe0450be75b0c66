#include <doctest/doctest.h>
#include <zlib.h>

#include <array>
#include <vector>

#include "support/raw_client.hpp"
#include "sample.hpp"

#include "web/page_files.hpp"

using namespace drumwatch;

namespace {

constexpr std::array<unsigned char, 4> kPlain{'p', 'l', 'a', 'i'};
constexpr std::array<unsigned char, 2> kPacked{0x1f, 0x8b};
const std::array<Asset, 2> kAssets{
    Asset{"/", "text/html; charset=utf-8", "aa", kPlain, kPacked, false},
    Asset{"/app-3f2a.js", "text/javascript; charset=utf-8", "bb", kPlain, {}, true},
};

std::string field(const Response& response, const std::string& name) {
    for (const auto& [key, value] : response.fields) {
        if (key == name) return value;
    }
    return {};
}

Request request(const std::string& path, const std::string& encoding = "", const std::string& tag = "") {
    Request r;
    r.method = "GET";
    r.path = path;
    r.accept_encoding = encoding;
    r.if_none_match = tag;
    return r;
}

/// Unpacked by zlib, as a browser would (RFC 1952).
std::string unpacked(const std::string& packed, std::size_t most) {
    std::vector<unsigned char> out(most + 1);
    z_stream stream{};
    inflateInit2(&stream, 16 + MAX_WBITS);
    std::string in = packed;
    stream.next_in = reinterpret_cast<Bytef*>(in.data());
    stream.avail_in = static_cast<uInt>(in.size());
    stream.next_out = out.data();
    stream.avail_out = static_cast<uInt>(out.size());
    const int result = inflate(&stream, Z_FINISH);
    inflateEnd(&stream);
    return result == Z_STREAM_END
               ? std::string(out.begin(), out.begin() + static_cast<long>(stream.total_out))
               : "";
}

}  // namespace

TEST_CASE("the index page is asked again each time and a hashed name is kept") {
    const auto index = answer_page_file(kAssets, request("/"));
    REQUIRE(index);
    CHECK(index->status == 200);
    CHECK(index->content_type == "text/html; charset=utf-8");
    CHECK(field(*index, "Cache-Control") == "no-cache");
    CHECK(index->body_size() == 4);
    const auto script = answer_page_file(kAssets, request("/app-3f2a.js"));
    REQUIRE(script);
    CHECK(field(*script, "Cache-Control") == "public, max-age=31536000, immutable");
    CHECK_FALSE(answer_page_file(kAssets, request("/app.js")));
}

TEST_CASE("packed and plain forms have tags of their own and both vary") {
    const auto plain = answer_page_file(kAssets, request("/"));
    const auto packed = answer_page_file(kAssets, request("/", "br, gzip"));
    REQUIRE(plain);
    REQUIRE(packed);
    CHECK(field(*plain, "ETag") == "\"aa\"");
    CHECK(field(*packed, "ETag") == "\"aa-gzip\"");
    CHECK(field(*packed, "Content-Encoding") == "gzip");
    CHECK(field(*plain, "Content-Encoding").empty());
    CHECK(packed->body_size() == 2);
    CHECK(field(*plain, "Vary") == "Accept-Encoding");
    CHECK(field(*packed, "Vary") == "Accept-Encoding");
    // Nothing packed is there: plain it is.
    CHECK(answer_page_file(kAssets, request("/app-3f2a.js", "gzip"))->body_size() == 4);
}

TEST_CASE("a 304 has the fields of the 200 and no body") {
    // RFC 9110, 15.4.5: ETag, Cache-Control, Vary as the 200 would have them.
    const auto same = answer_page_file(kAssets, request("/", "gzip", "\"xx\", W/\"aa-gzip\""));
    REQUIRE(same);
    CHECK(same->status == 304);
    CHECK(same->body_size() == 0);
    CHECK(field(*same, "ETag") == "\"aa-gzip\"");
    CHECK(field(*same, "Vary") == "Accept-Encoding");
    CHECK(field(*same, "Cache-Control") == "no-cache");
    CHECK(answer_page_file(kAssets, request("/", "", "\"aa-gzip\""))->status == 200);
}

TEST_CASE("Accept-Encoding is read as RFC 9110 12.5.3 says") {
    // Its own examples, from memory: "compress, gzip", "", "*", "gzip;q=1.0, identity; q=0.5, *;q=0".
    CHECK(accepts_gzip("compress, gzip"));
    CHECK_FALSE(accepts_gzip(""));
    CHECK(accepts_gzip("*"));
    CHECK(accepts_gzip("gzip;q=1.0, identity; q=0.5, *;q=0"));
    CHECK(accepts_gzip("GZip ; q=0.001"));
    CHECK_FALSE(accepts_gzip("gzip;q=0"));
    CHECK_FALSE(accepts_gzip("gzip; q=0.000, *"));
    CHECK_FALSE(accepts_gzip("br, identity"));
    CHECK_FALSE(accepts_gzip("xgzip"));
}

TEST_CASE("If-None-Match is a list that is compared weakly") {
    // RFC 9110, 13.1.2 and the table of 8.8.3.2.
    CHECK(matches_tag("*", "\"1\""));
    CHECK(matches_tag("W/\"1\"", "\"1\""));
    CHECK(matches_tag("\"0\",\"1\"", "\"1\""));
    CHECK_FALSE(matches_tag("W/\"2\"", "\"1\""));
    CHECK_FALSE(matches_tag("1", "\"1\""));
    CHECK_FALSE(matches_tag("", "\"1\""));
}

TEST_CASE("the embedded page is served whole, packed, and not twice") {
    REQUIRE_FALSE(page_assets().empty());
    SampleStation station;
    const auto server = start_server(station);
    RawClient client(server->port());
    RawResponse index = client.get("/");
    CHECK(index.status == 200);
    CHECK(index.fields["content-type"].starts_with("text/html"));
    for (const Asset& asset : page_assets()) {
        const std::string path(asset.path);
        INFO(path);
        const std::string plain(asset.plain.begin(), asset.plain.end());
        RawResponse r = client.get(path);
        CHECK(r.body == plain);
        CHECK(client.get(path, "If-None-Match: " + r.fields["etag"] + "\r\n").status == 304);
        RawResponse packed = client.get(path, "Accept-Encoding: gzip\r\n");
        if (asset.gzip.empty()) {
            CHECK(packed.body == plain);
        } else {
            CHECK(packed.fields["content-encoding"] == "gzip");
            CHECK(packed.fields["etag"] != r.fields["etag"]);
            CHECK(unpacked(packed.body, plain.size()) == plain);
        }
    }
}
