#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "sample.hpp"
#include "web/history.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

Snapshot idle_snapshot(std::uint64_t sequence, std::uint64_t watch = 3) {
    Snapshot s = sample_snapshot(sequence);
    s.watch = watch;
    s.roast.reset();
    s.follow.reset();
    return s;
}

json after(const History& history, std::optional<StreamId> id) { return json::parse(history.json(id, true)); }

}  // namespace

TEST_CASE("stream ids are read strictly") {
    CHECK(stream_id_text({3, 1042}) == "3-1042");
    const auto id = parse_stream_id("3-1042");
    REQUIRE(id);
    CHECK(id->watch == 3);
    CHECK(id->sequence == 1042);
    for (const char* bad :
         {"", "-", "3", "3-", "-1", "3-x", "3-1 ", " 3-1", "3-1-2", "+3-1", "99999999999999999999-1"}) {
        CHECK_MESSAGE(!parse_stream_id(bad), bad);
    }
}

TEST_CASE("an empty history has columns without points") {
    const History history(8, 250, sample_facts().channels);
    const json h = after(history, std::nullopt);
    CHECK(h["t_ms"] == json::array());
    CHECK(h["roast"] == json::array());
    CHECK(h["charge_ms"].is_null());
    CHECK(h["tick_ms"] == 250);
}

TEST_CASE("a tablet that comes back gets what it missed and no more") {
    History history(1000, 250, sample_facts().channels);
    for (std::uint64_t i = 1; i <= 20; ++i) history.push(sample_snapshot(400 + i));
    const json h = after(history, StreamId{3, 417});
    CHECK(h["watch"] == 3);
    CHECK(h["id"] == "3-420");
    CHECK(h["from"] == 418);
    CHECK(h["t_ms"] == json{104'500, 104'750, 105'000});
    CHECK(h["bean_c"] == json{187.4, 187.4, 187.4});
    CHECK(h["deviation_c"] == json{0.6, 0.6, 0.6});
    CHECK(h["corridor_c"] == json{1.1, 1.1, 1.1});
    CHECK(h["rise_per_min"] == json{8.6, 8.6, 8.6});
    CHECK(h["roast"] == json{12, 12, 12});
    CHECK(h["charge_ms"] == 100'000);
    CHECK(h["channels"]["bean"] == h["bean_c"]);
    CHECK(h["channels"].size() == sample_facts().channels.size());
    for (const auto& column : h["channels"]) CHECK(column.size() == 3);
    CHECK_FALSE(json::parse(history.json(StreamId{3, 417}, false)).contains("channels"));
    CHECK(after(history, StreamId{3, 420})["t_ms"].empty());
    CHECK(after(history, StreamId{3, 9999})["t_ms"].empty());
    CHECK(after(history, StreamId{2, 417})["t_ms"].size() == 20);
    CHECK(history.count_after({3, 419}) == 1);
}

TEST_CASE("without an id the present roast comes, or six minutes if that is longer") {
    History history(10'000, 250, sample_facts().channels);
    for (std::uint64_t i = 1; i <= 3000; ++i) history.push(sample_snapshot(i));  // to 750 s, charge at 100 s
    const json roast = after(history, std::nullopt);
    CHECK(roast["t_ms"].front() == 100'000);
    CHECK(roast["t_ms"].size() == 2601);
    for (std::uint64_t i = 3001; i <= 3010; ++i) history.push(idle_snapshot(i));
    const json idle = after(history, std::nullopt);
    CHECK(idle["t_ms"].front() == 752'500 - 360'000);
    CHECK(idle["roast"].back() == 0);
    CHECK(idle["deviation_c"].back().is_null());
    CHECK(idle["charge_ms"].is_null());
}

TEST_CASE("the ring keeps the newest points and a new watch begins anew") {
    History history(4, 250, sample_facts().channels);
    for (std::uint64_t i = 1; i <= 10; ++i) history.push(idle_snapshot(i));
    history.push(idle_snapshot(10));
    CHECK(after(history, StreamId{3, 0})["from"] == 7);
    CHECK(after(history, StreamId{3, 0})["t_ms"].size() == 4);
    history.push(idle_snapshot(1, 4));
    const json h = after(history, StreamId{3, 10});
    CHECK(h["watch"] == 4);
    CHECK(h["t_ms"] == json{250});
}

TEST_CASE("a bean value that is not good is null in the history") {
    History history(4, 250, sample_facts().channels);
    Snapshot s = sample_snapshot(1);
    s.channel[0].quality = Quality::stale;
    s.channel[0].rise_per_min.reset();
    history.push(s);
    CHECK(after(history, std::nullopt)["bean_c"] == json{nullptr});
    CHECK(after(history, std::nullopt)["rise_per_min"] == json{nullptr});
    History blind(4, 250, ChannelTable{});
    blind.push(sample_snapshot(1));
    CHECK(after(blind, std::nullopt)["bean_c"] == json{nullptr});
}
