// Weight and colour of a real roast, over TCP: judged again, in the record, and there after a power cut.
#include <doctest/doctest.h>

#include "tablet.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

RawResponse tell(StationRun& station, const char* body) {
    return RawClient(station.port()).post("/api/roasts/1/facts", body);
}

json row(const Tablet& tablet) { return json::parse(tablet.get("/api/roasts/1").body); }

/// "12:41:07.250 ... ,drop" and the like: the file has a row with that mark.
bool has_mark(const std::string& csv, const std::string& mark) {
    return csv.find("," + mark + "\r\n") != std::string::npos;
}

}  // namespace

TEST_CASE(
    "a weight after the drop judges a real roast again, over a power cut, and a rerun gives the row's "
    "verdict") {
    StationPlan plan;
    plan.simulator = {"--batches", "1", "--seed", "11"};
    plan.target_edits = {"--weight-loss", "14:15"};
    StationRun station(plan);
    const Tablet tablet(station);
    // Stepped time runs on while nobody looks: only the record stands still.
    tablet.until("the finished roast",
                 [&](const json&) { return row(tablet).value("state", "") == "finished"; });
    const std::string csv = tablet.get("/api/roasts/1.csv").body;
    CHECK_MESSAGE(has_mark(csv, "drop"), csv.substr(0, 300));
    const json first = row(tablet);
    CHECK(first["verdict"]["disposition"] == "clear");
    CHECK(first["facts"]["roasted_kg"].is_null());

    const RawResponse heavy = tell(station, R"({"client_id":"s-1","charge_kg":12,"roasted_kg":102})");
    CHECK(heavy.status == 422);
    const RawResponse told =
        tell(station, R"({"client_id":"s-2","who":"Ada","charge_kg":12,"roasted_kg":10.14})");
    CHECK(told.status == 200);
    CHECK_MESSAGE(told.body.find("The verdict is taste now; it was clear.") != std::string::npos, told.body);
    const auto check_row = [&] {
        const json now = row(tablet);
        CHECK(now["verdict"]["disposition"] == "taste");
        CHECK(now["verdict"]["at_drop"] == "clear");
        CHECK(now["facts"]["weight_loss_pct"] == 15.5);
    };
    check_row();
    station.kill_and_restart();
    check_row();
    station.check_export_spares_others();
    station.stop();  // looks whether every watch run again gives the journal that it gave live
    CHECK(station.roast(1).verdict->disposition == Disposition::clear);
}
