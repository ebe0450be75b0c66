// The command itself, on a record of three days: its reports as they were stored, its figures reckoned once
// more by Python, its JSON against the API's schema, and what it says of bad input.
#include <doctest/doctest.h>

#include <chrono>
#include <fstream>
#include <future>
#include <nlohmann/json.hpp>
#include <sstream>

#include "service/query_desk.hpp"
#include "support/alarm_record.hpp"
#include "support/child_process.hpp"
#include "support/temp_dir.hpp"
#include "unit/web/schema_check.hpp"
#include "web/openapi.hpp"

using namespace drumwatch;
using nlohmann::json;
using std::chrono::seconds;

namespace {

constexpr const char* kUtc = "TZ=UTC";
/// Nine hours east of UTC, so that the afternoon's alarms lie on another day.
constexpr const char* kFarEast = "TZ=FAR-9";

class Site {
  public:
    TempDir folder;
    std::string record = folder.file("record.sqlite");
    Site() { make_alarm_record(record); }

    Finished alarms(std::vector<std::string> options, const char* zone = kUtc) const {
        std::vector<std::string> call{"env", zone, DRUMWATCH_PROGRAM, "alarms", record};
        call.insert(call.end(), options.begin(), options.end());
        return run_program(std::move(call), seconds(60));
    }
    std::string good(std::vector<std::string> options, const char* zone = kUtc) const {
        const Finished ran = alarms(std::move(options), zone);
        REQUIRE_MESSAGE(ran.status == 0, ran.errors);
        CHECK(ran.errors.empty());
        return ran.output;
    }
    json figures(std::vector<std::string> options, const char* zone = kUtc) const {
        options.push_back("--json");
        return json::parse(good(std::move(options), zone));
    }
    std::string write(const char* name, const std::string& text) const {
        std::ofstream(folder.file(name), std::ios::binary) << text;
        return folder.file(name);
    }
};

std::string stored(const char* name) {
    std::ostringstream text;
    text << std::ifstream(std::string(DRUMWATCH_REPORTS "/") + name, std::ios::binary).rdbuf();
    return text.str();
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

json figure(const json& report, const std::string& name) {
    for (const json& one : report["figures"]) {
        if (one["name"] == name) return one["value"];
    }
    return "there is no such figure";
}

QueryAnswer asked(const std::string& record, const std::string& query) {
    QueryDesk desk(record, {});
    std::promise<QueryAnswer> answer;
    desk.ask("alarms/figures", query, "", [&](QueryAnswer said) { answer.set_value(std::move(said)); });
    return answer.get_future().get();
}

std::size_t lines(const std::string& text) {
    return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

// Made anew by hand, in the time zone UTC: make_alarm_record PATH, then the command with each option.
TEST_CASE("alarms: the reports are those that were stored") {
    const Site site;
    CHECK(site.good({}) == stored("report.txt"));
    CHECK(site.good({"--json"}) == stored("report.json"));
    CHECK(site.good({"--csv"}) == stored("changes.csv"));
}

TEST_CASE("alarms: python reckons the same figures from the changes that are printed") {
    const Site site;
    for (const std::string zone : {kUtc, kFarEast}) {
        CAPTURE(zone);
        const std::string report = site.write("report.json", site.good({"--json"}, zone.c_str()));
        const std::string changes = site.write("changes.csv", site.good({"--csv"}, zone.c_str()));
        const Finished python = run_program({"python3", DRUMWATCH_SCRIPT, report, changes}, seconds(60));
        MESSAGE(python.output);
        CHECK_MESSAGE(python.status == 0, python.errors);
    }
}

TEST_CASE("alarms: the judge in python sees a wrong figure") {
    const Site site;
    json report = site.figures({});
    report["rules"][0]["alarms"] = report["rules"][0]["alarms"].get<int>() + 1;
    const std::string changes = site.write("changes.csv", site.good({"--csv"}));
    const Finished python = run_program(
        {"python3", DRUMWATCH_SCRIPT, site.write("report.json", report.dump()), changes}, seconds(60));
    CHECK(python.status == 1);
    CHECK(has(python.output, "alarms"));
}

TEST_CASE("alarms: the API gives what the command prints, and both fit openapi.json") {
    const Site site;
    REQUIRE(setenv("TZ", "UTC", 1) == 0);
    const auto bytes = openapi_text();
    const json document = json::parse(bytes.begin(), bytes.end());
    const json& schema = document["components"]["schemas"]["AlarmFigures"];
    const QueryAnswer all = asked(site.record, "");
    CHECK(all.status == 200);
    CHECK(all.content_type == "application/json");
    CHECK(json::parse(all.body) == site.figures({}));
    const json one_day = json::parse(asked(site.record, "from=2026-11-24&to=2026-11-24").body);
    CHECK(one_day == site.figures({"--from", "2026-11-24", "--to", "2026-11-24"}));
    const json empty = json::parse(asked(site.record, "from=2026-10-01&to=2026-10-02").body);
    for (const json& body : {json::parse(all.body), one_day, empty}) {
        const auto mismatches = schema_mismatches(document, schema, body);
        CHECK_MESSAGE(mismatches.empty(), (mismatches.empty() ? "" : mismatches.front()));
    }
    CHECK(one_day["alarms"] == 21);
    CHECK(empty["alarms"] == 0);
    CHECK(json::parse(asked(site.record, "from=2025-11-24").body)["alarms"] == 21);  // 366 days: the first
    CHECK(json::parse(asked(site.record, "from=2025-11-24&to=2026-11-24").body)["alarms"] == 21);
    for (const char* query : {"from=2026-11-31", "to=yesterday", "from=2026-11-25&to=2026-11-24",
                              "from=2025-11-24&to=2026-11-25"}) {
        const QueryAnswer refused = asked(site.record, query);
        CHECK(refused.status == 422);
        CHECK(refused.content_type == "application/problem+json");
    }
    CHECK(asked(site.folder.file("none.sqlite"), "").status == 500);
}

TEST_CASE("alarms: a period of days, as the box's time zone has them") {
    const Site site;
    // Watches: 24th 8:00 to 25th 14:30, 26th 7:00 to 8:10 UTC.
    const json second = site.figures({"--from", "2026-11-25", "--to", "2026-11-25"});
    CHECK(second["from_utc"] == "2026-11-25T00:00:00.000Z");
    CHECK(second["to_utc"] == "2026-11-26T00:00:00.000Z");
    CHECK(second["watched_s"] == 14.5 * 3600);
    CHECK(second["alarms"] == 0);
    CHECK(figure(second, "most_stale_in_a_day") == 1);  // the record that fails since the 24th, 13:58:20
    const json east = site.figures({"--from", "2026-11-25", "--to", "2026-11-25"}, kFarEast);
    CHECK(east["from_utc"] == "2026-11-24T15:00:00.000Z");
    CHECK(east["to_utc"] == "2026-11-25T15:00:00.000Z");
    CHECK(east["watched_s"] == 23.5 * 3600);
    CHECK(has(site.good({"--csv"}, kFarEast), "2026-11-24T08:01:00.000Z,2026-11-24 17:01:00 +09:00,1,"));
}

TEST_CASE("alarms: one roast") {
    const Site site;
    const json roast = site.figures({"--roast", "3"});
    CHECK(roast["alarms"] == 3);
    CHECK(roast["watched_s"] == 720);
    CHECK(roast["roasts"].size() == 1);
    CHECK(figure(roast, "chattering") == 1);
    CHECK(has(site.good({"--roast", "3"}), "Alarms of roast 3 from 2026-11-24 08:50:00 +00:00"));
    CHECK(lines(site.good({"--roast", "3", "--csv"})) ==
          1 + 8);  // three times raised and cleared, silenced, ...
    const json in_drum = site.figures({"--roast", "6"});
    CHECK(in_drum["alarms"] == 1);
    CHECK(in_drum["roasts"][0]["dropped"] == false);
    CHECK(in_drum["roasts"][0]["to_utc"] == "2026-11-26T08:10:00.000Z");  // its newest reading
    const Finished none = site.alarms({"--roast", "99"});
    CHECK(none.status == 1);
    CHECK(has(none.errors, "there is no roast 99"));
}

TEST_CASE("alarms: an alarm of before the period still counts for what stands in it") {
    const Site site;
    const json third = site.figures({"--from", "2026-11-26"});
    CHECK(third["to_utc"] == "2026-11-26T08:10:00.001Z");  // the newest reading is part of it
    CHECK(third["alarms"] == 1);
    CHECK(figure(third, "stale_roasts") == 0);
    // The reset of what was raised on the 24th is in the log, with its rule and whoever did it.
    const std::string changes = site.good({"--from", "2026-11-26", "--csv"});
    CHECK(lines(changes) == 1 + 2);
    CHECK(has(changes, ",20,bean_high_high,high,reset,,,,,\"'=Ada\","));
}

TEST_CASE("alarms: where nothing was watched the report says so") {
    const Site site;
    const std::string text = site.good({"--from", "2026-10-01", "--to", "2026-10-02"});
    CHECK(has(text, "nothing was watched from 2026-10-01 00:00:00 +00:00 to 2026-10-03 00:00:00 +00:00"));
    CHECK(lines(text) == 1);
    CHECK(lines(site.good({"--from", "2026-10-01", "--to", "2026-10-02", "--csv"})) == 1);
    CHECK(has(site.good({"--from", "2030-01-01"}), "nothing was watched from 2030-01-01"));
}

TEST_CASE("alarms: what can't be is said, and decides the exit code") {
    const Site site;
    const Finished turned = site.alarms({"--from", "2026-11-26", "--to", "2026-11-24"});
    CHECK(turned.status == 2);
    CHECK(has(turned.errors, "the period begins on 2026-11-26, after its end on 2026-11-24"));
    for (const char* date : {"2026-02-30", "24.11.2026", "2026-11-24T08:00", "tomorrow"}) {
        const Finished none = site.alarms({"--from", date});
        CHECK(none.status == 2);
        CHECK(has(none.errors, std::string("\"") + date + "\" is no date: write a day as in 2026-11-25"));
        CHECK(none.output.empty());
    }
    CHECK(site.alarms({"--json", "--csv"}).status == 2);
    CHECK(site.alarms({"--roast", "3", "--from", "2026-11-24"}).status == 2);
    CHECK(site.alarms({"--roast", "0"}).status == 2);
    const Finished missing =
        run_program({DRUMWATCH_PROGRAM, "alarms", "/nowhere/record.sqlite"}, seconds(20));
    CHECK(missing.status == 1);
    CHECK(has(missing.errors, "/nowhere/record.sqlite"));
}
