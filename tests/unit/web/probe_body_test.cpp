// What is said of probes, as it comes in a body, and that it reaches the station.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "sample.hpp"
#include "support/raw_client.hpp"
#include "web/command_json.hpp"

using namespace drumwatch;

namespace {

ParsedCommand parse(Endpoint endpoint, const std::string& body) {
    static const Snapshot now = sample_snapshot();
    return parse_command(endpoint, "", body, now, 250);
}

template <typename Said>
Said said(Endpoint endpoint, const std::string& body) {
    const ParsedCommand parsed = parse(endpoint, body);
    if (const auto* refusal = std::get_if<Response>(&parsed)) FAIL(*refusal->text);
    return std::get<Said>(std::get<ProbeSaid>(parsed));
}

/// "422 /to: Must be ..." of the refusal, or "" where it was taken.
std::string refusal(Endpoint endpoint, const std::string& body) {
    const ParsedCommand parsed = parse(endpoint, body);
    const auto* response = std::get_if<Response>(&parsed);
    if (response == nullptr) return {};
    const auto json = nlohmann::json::parse(*response->text);
    return std::to_string(response->status) + " " + json["detail"].get<std::string>();
}

void refused(Endpoint endpoint, const std::string& body, const std::string& begins) {
    const std::string words = refusal(endpoint, body);
    CHECK_MESSAGE(words.starts_with(begins), body << ": " << words);
}

/// The fields that every one of them needs, and more.
std::string with(const std::string& more) { return R"({"client_id":"a","who":"Ada",)" + more + "}"; }

}  // namespace

TEST_CASE("a check names its method, and what is true where the method does not say it") {
    const auto ice = said<ProbeChecked>(Endpoint::probe_check,
                                        with(R"("channel":"bean","method":"ice_point","note":"stirred")"));
    CHECK(ice.channel == "bean");
    CHECK(ice.method == "ice_point");
    CHECK(ice.note == "stirred");
    CHECK(ice.who == "Ada");
    CHECK(ice.client_id == "a");
    CHECK_FALSE(ice.is_c);
    CHECK_FALSE(ice.pressure_hpa);
    const auto boiling = said<ProbeChecked>(
        Endpoint::probe_check, with(R"("channel":"bean","method":"boiling_point","pressure_hpa":985.5)"));
    CHECK(boiling.pressure_hpa == 985.5);
    CHECK_FALSE(
        said<ProbeChecked>(Endpoint::probe_check, with(R"("channel":"bean","method":"boiling_point")"))
            .pressure_hpa);
    const auto compared = said<ProbeChecked>(Endpoint::probe_check,
                                             with(R"("channel":"bean","method":"comparison","is_c":151.2)"));
    CHECK(compared.is_c == 151.2);
}

TEST_CASE("a check that can't be read is refused with what would be right") {
    const auto wrong = [](const std::string& more, const std::string& begins) {
        refused(Endpoint::probe_check, with(R"("channel":"bean",)" + more), begins);
    };
    wrong(R"("method":"guess")", "422 /method: Must be one of: ice_point, boiling_point, comparison.");
    wrong(R"("method":"comparison")", "422 /is_c: ");
    wrong(R"("method":"comparison","is_c":-274)", "422 /is_c: Must be a number from -273.15 to 2000.");
    wrong(R"("method":"ice_point","is_c":0)", "422 /is_c: Is of a comparison only: leave it out.");
    wrong(R"("method":"ice_point","pressure_hpa":1000)",
          "422 /pressure_hpa: Is of a boiling point only: leave it out.");
    wrong(R"("method":"boiling_point","pressure_hpa":29.9)",
          "422 /pressure_hpa: Must be a number from 300 to 1200.");
    wrong(R"("method":"ice_point","reads_1_c":1)", "422 /reads_1_c: Unknown");
    refused(Endpoint::probe_check, R"({"client_id":"a","channel":"bean","method":"ice_point"})",
            "422 /who: ");
    refused(Endpoint::probe_check, R"({"client_id":"a","who":"","channel":"bean","method":"ice_point"})",
            "422 /who: ");
    refused(Endpoint::probe_check, with(R"("method":"ice_point")"), "422 /channel: ");
}

TEST_CASE("a calibration has up to five points, in pairs, and may have none") {
    const auto none = said<ProbeCalibrated>(Endpoint::probe_calibrate, with(R"("channel":"bean")"));
    CHECK(none.points.empty());
    std::string pairs = R"("channel":"bean")";
    for (int i = 1; i <= 5; ++i)
        pairs += ",\"reads_" + std::to_string(i) + "_c\":" + std::to_string(50 * i) + ".5,\"is_" +
                 std::to_string(i) + "_c\":" + std::to_string(50 * i);
    const auto five = said<ProbeCalibrated>(Endpoint::probe_calibrate, with(pairs));
    REQUIRE(five.points.size() == 5);
    CHECK(five.points[0].reads_c == 50.5);
    CHECK(five.points[0].is_c == 50);
    CHECK(five.points[4].reads_c == 250.5);
    const auto gap = said<ProbeCalibrated>(Endpoint::probe_calibrate,
                                           with(R"("channel":"bean","reads_3_c":1,"is_3_c":0)"));
    CHECK(gap.points.size() == 1);
    refused(Endpoint::probe_calibrate, with(R"("channel":"bean","reads_1_c":1)"), "422 /is_1_c: ");
    refused(Endpoint::probe_calibrate, with(R"("channel":"bean","is_2_c":1)"), "422 /reads_2_c: ");
    refused(Endpoint::probe_calibrate, with(R"("channel":"bean","reads_6_c":1,"is_6_c":1)"),
            "422 /reads_6_c: Unknown");
    refused(Endpoint::probe_calibrate, with(R"("channel":"bean","reads_1_c":"1","is_1_c":1)"),
            "422 /reads_1_c: ");
}

TEST_CASE("a change says what was done, and a confirmation names the target") {
    for (const std::string what : {"wiped", "moved", "replaced"}) {
        const auto changed = said<ProbeChanged>(
            Endpoint::probe_change, with(R"("channel":"bean","note":"5 mm deeper","what":")" + what + '"'));
        CHECK(changed.what == what);
        CHECK(changed.note == "5 mm deeper");
    }
    refused(Endpoint::probe_change, with(R"("channel":"bean","what":"calibrated")"),
            "422 /what: Must be one of: wiped, moved, replaced.");
    refused(Endpoint::probe_change,
            with(R"("channel":"bean","what":"moved","note":")" + std::string(201, 'x') + '"'), "422 /note: ");
    const auto confirmed =
        said<TargetConfirmed>(Endpoint::confirm_target, with(R"("name":"Fen Meadow, washed")"));
    CHECK(confirmed.name == "Fen Meadow, washed");
    CHECK(confirmed.who == "Ada");
    refused(Endpoint::confirm_target, R"({"client_id":"a","name":"Fen Meadow, washed"})", "422 /who: ");
    refused(Endpoint::confirm_target, with(R"("name":"")"), "422 /name: ");
}

TEST_CASE("what is said of probes reaches the station, and its refusals the person") {
    SampleStation station;
    station.answer = {409, true, "bean is not steady."};
    const auto server = start_server(station);
    server->publish(sample_published());
    RawClient client(server->port());
    while (client.get("/api/status").status == 503) {
    }
    RawResponse told = client.post("/api/probes/change", with(R"("channel":"bean","what":"wiped")"));
    CHECK(told.status == 409);
    CHECK(nlohmann::json::parse(told.body)["detail"] == "bean is not steady.");
    client.post("/api/target/confirm", with(R"("name":"Fen Meadow, washed")"));
    client.post("/api/target/confirm", with(R"("nam":"Fen Meadow, washed")"));
    REQUIRE(station.probe_said().size() == 2);
    CHECK(std::get<ProbeChanged>(station.probe_said()[0]).what == "wiped");
    CHECK(std::get<TargetConfirmed>(station.probe_said()[1]).name == "Fen Meadow, washed");
}
