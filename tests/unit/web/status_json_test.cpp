#include <doctest/doctest.h>

#include <limits>

#include "sample.hpp"
#include "schema_check.hpp"
#include "web/openapi.hpp"
#include "web/status_json.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

json status_of(const Snapshot& snapshot) {
    return json::parse(status_json(snapshot, sample_box(), sample_facts()));
}

json openapi() {
    const auto bytes = openapi_text();
    return json::parse(bytes.begin(), bytes.end());
}

std::string mismatches(const json& status) {
    const json document = openapi();
    std::string all;
    for (const std::string& one :
         schema_mismatches(document, document["components"]["schemas"]["Status"], status)) {
        all += one + "\n";
    }
    return all;
}

}  // namespace

TEST_CASE("a full status says what the snapshot says") {
    const json s = status_of(sample_snapshot());
    CHECK(mismatches(s) == "");
    CHECK(s["id"] == "3-2368");
    CHECK(s["utc"] == "2026-11-25T10:42:07.250Z");
    CHECK(s["simulated"] == json{{"speed", 4.0}});
    CHECK(s["channels"]["bean"] ==
          json{{"value", 187.4}, {"unit", "°C"}, {"quality", "good"}, {"age_s", 0.0}, {"rise_per_min", 8.6}});
    CHECK(s["roast"]["id"] == 12);
    CHECK(s["roast"]["elapsed_s"] == 492.0);
    CHECK(s["roast"]["milestones"]["yellow"] ==
          json{{"at_s", 250.5}, {"bean_c", 150.25}, {"source", "mark"}});
    CHECK_FALSE(s["roast"]["milestones"].contains("drop"));
    CHECK(s["cooling"] == json{{"id", 11}, {"since_s", 175.0}, {"tray_c", 96.1}});
    CHECK(s["target"]["deviation_c"] == 0.6);
    CHECK(s["target"]["leaves_in_s"] == 25.0);
    CHECK(s["next_move"]["when"] == json{{"bean_c", 190.0}});
    CHECK(s["next_move"]["to"] == 60.0);
    CHECK(s["moves"].size() == 3);
    CHECK(s["moves"][0]["judged"] == "on time");
    CHECK(s["moves"][1]["made_to"].is_null());
    CHECK(s["moves"][2]["planned_index"].is_null());
    CHECK(s["moves"][2]["planned_to"].is_null());
    CHECK(s["moves"][2]["made_to"] == 70.0);
    CHECK(s["forecast"]["first_crack"]["in_s"] == 53.0);
    CHECK(s["no_forecast"].is_null());
    CHECK(s["last_verdict"]["reasons"][0]["rule"] == "move_off");
    CHECK(s["last_verdict"]["since_s"] == 175.0);
}

TEST_CASE("a last verdict with weight or colour shows that, and what the curve alone called for") {
    Snapshot snapshot = sample_snapshot();
    snapshot.last_verdict->verdict.disposition = Disposition::clear;
    snapshot.last_verdict->verdict.reasons.clear();
    BoxState box = sample_box();
    box.late_verdict = snapshot.last_verdict->verdict;
    box.late_verdict->disposition = Disposition::taste;
    Reason reason;
    reason.rule = VerdictRule::weight_loss;
    box.late_verdict->reasons.push_back(reason);
    const json s = json::parse(status_json(snapshot, box, sample_facts()));
    CHECK(mismatches(s) == "");
    CHECK(s["last_verdict"]["disposition"] == "taste");
    CHECK(s["last_verdict"]["at_drop"] == "clear");
    CHECK(s["last_verdict"]["reasons"][0]["rule"] == "weight_loss");
}

TEST_CASE("a value that is not good is null with its quality") {
    const json s = status_of(sample_snapshot());
    CHECK(s["channels"]["exhaust"]["value"].is_null());
    CHECK(s["channels"]["exhaust"]["quality"] == "open_circuit");
    CHECK(s["channels"]["exhaust"]["age_s"] == 5.25);
    CHECK(s["channels"]["burner"]["age_s"].is_null());
    Snapshot suspect = sample_snapshot();
    suspect.channel[0].quality = Quality::suspect;
    CHECK(status_of(suspect)["channels"]["bean"]["value"].is_null());
}

TEST_CASE("alarms come highest first and a normal one is not listed") {
    const json alarms = status_of(sample_snapshot())["alarms"];
    REQUIRE(alarms.size() == 2);
    CHECK(alarms[0]["rule"] == "bean_high_high");
    CHECK(alarms[0]["state"] == "latched_acknowledged");
    CHECK(alarms[0]["silenced"] == true);
    CHECK(alarms[1]["id"] == 7);
    CHECK(alarms[1]["since_s"] == 21.0);
    CHECK(alarms[1]["value"] == 2.9);
    CHECK(alarms[1]["unit"] == "°C");
    CHECK(alarms[1]["can_shelve"] == true);
    CHECK(alarms[0]["can_take_out"] == false);
}

TEST_CASE("what is put aside is told with its time, its person and its reason, a flood by itself") {
    const json status = status_of(sample_snapshot());
    CHECK(mismatches(status) == "");
    const json& aside = status["alarms_put_aside"];
    REQUIRE(aside.size() == 3);
    CHECK(aside[0]["back_in_s"] == 120.0);
    CHECK(aside[0]["who"] == "");
    CHECK(aside[0]["reason"] == "a trial roast");
    CHECK(aside[1]["state"] == "out_of_service");
    CHECK(aside[1]["who"] == "Ines");
    CHECK(aside[1]["back_in_s"].is_null());
    CHECK(aside[2]["state"] == "suppressed");
    CHECK(aside[2]["why"] != "");
    CHECK(aside[2]["reason"] == "");
    CHECK(status["alarm_flood"] == true);
    CHECK(status_of(Snapshot{})["alarm_flood"] == false);
}

TEST_CASE("an idle station fits the schema too") {
    Snapshot idle;
    idle.watch = 1;
    idle.channels = 3;
    const json s = status_of(idle);
    CHECK(mismatches(s) == "");
    for (const char* key : {"roast", "cooling", "target", "next_move", "forecast", "drop", "last_verdict"}) {
        CHECK_MESSAGE(s[key].is_null(), key);
    }
    CHECK(s["no_forecast"].is_string());
    CHECK(s["alarms"] == json::array());
    CHECK(s["channels"]["bean"]["quality"] == "never_read");
}

TEST_CASE("a target between roasts has no place on its curve") {
    Snapshot s = sample_snapshot();
    s.follow.reset();
    s.roast.reset();
    const json status = status_of(s);
    CHECK(mismatches(status) == "");
    CHECK(status["target"]["name"] == "Fen Meadow, washed");
    CHECK(status["target"]["bean_c"].is_null());
    CHECK(status["target"]["outside"] == false);
}

TEST_CASE("a number that JSON can't say becomes null and bad UTF-8 is replaced") {
    Snapshot s = sample_snapshot();
    s.follow->deviation_c = std::numeric_limits<double>::quiet_NaN();
    s.channel[0].rise_per_min = std::numeric_limits<double>::infinity();
    StationFacts facts = sample_facts();
    facts.machine = "drum \xFF";
    const json status = json::parse(status_json(s, sample_box(), facts));
    CHECK(status["target"]["deviation_c"].is_null());
    CHECK(status["channels"]["bean"]["rise_per_min"].is_null());
    CHECK(status["machine"] == "drum \xEF\xBF\xBD");
}

TEST_CASE("an index out of the target's moves is no next move") {
    Snapshot s = sample_snapshot();
    s.next_move->planned = 2;
    CHECK(status_of(s)["next_move"].is_null());
    s.next_move->planned = -1;
    CHECK(status_of(s)["next_move"].is_null());
}

TEST_CASE("the schema check itself finds faults") {
    json s = status_of(sample_snapshot());
    s["surprise"] = 1;
    s["alarms"][0]["priority"] = "urgent";
    s["roast"]["elapsed_s"] = "492";
    s.erase("utc");
    const std::string found = mismatches(s);
    for (const char* part : {"surprise", "/alarms/0/priority", "elapsed_s", "lacks \"utc\""}) {
        CHECK_MESSAGE(found.find(part) != std::string::npos, part);
    }
}

TEST_CASE("UTC is written as RFC 3339 does") {
    CHECK(utc_text(WallTime{0}) == "1970-01-01T00:00:00.000Z");
    // GNU date -u -d @951868799: the end of a leap day.
    CHECK(utc_text(WallTime{951'868'799'999}) == "2000-02-29T23:59:59.999Z");
    CHECK(utc_text(WallTime{-1}) == "1969-12-31T23:59:59.999Z");
    for (const std::int64_t ms : {0LL, -1LL, 951'868'799'999LL, 1'780'000'000'123LL})
        CHECK(wall_time_from_utc(utc_text(WallTime{ms}))->unix_ms == ms);
    for (const char* text :
         {"", "2026-11-25", "2026-13-25T10:42:07.250Z", "2026-11-25T10:42:07.250", "2026-02-30T10:42:07.250Z",
          "2026-11-25T24:00:00.000Z", "2026-11-25T10:42:60.000Z", "x026-11-25T10:42:07.250Z"})
        CHECK_FALSE(wall_time_from_utc(text));
}

TEST_CASE("reminders are shown with their count, its unit, and who did it last") {
    const json status = status_of(sample_snapshot());
    REQUIRE(status["reminders"].size() == 2);
    CHECK(status["reminders"][0] == json{{"name", "empty the chaff bin"},
                                         {"due", true},
                                         {"counted", 9.0},
                                         {"every", 8.0},
                                         {"unit", "batches"},
                                         {"without_weight", 0},
                                         {"done_at", "2023-11-14T22:13:20.000Z"},
                                         {"done_by", "Ada"}});
    CHECK(status["reminders"][1]["done_at"].is_null());
    CHECK(status["reminders"][1]["without_weight"] == 2);
}

TEST_CASE("sounders are shown with whether they work, why not, and when they were tested") {
    const json status = status_of(sample_snapshot());
    REQUIRE(status["sounders"].size() == 2);
    CHECK(status["sounders"][0] == json{{"name", "horn"},
                                        {"kind", "coil"},
                                        {"working", true},
                                        {"why", ""},
                                        {"tested_at", "2023-11-14T22:13:20.000Z"}});
    CHECK(status["sounders"][1]["working"] == false);
    CHECK(status["sounders"][1]["why"] == "/usr/bin/player is not there");
    CHECK(status["sounders"][1]["tested_at"].is_null());
}
