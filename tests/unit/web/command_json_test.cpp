#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "sample.hpp"
#include "web/command_json.hpp"
#include "web/flat_object.hpp"

using namespace drumwatch;

namespace {

const Snapshot kNow = sample_snapshot();  // tick 592 s, charge at 100 s

ParsedCommand parse(Endpoint endpoint, const std::string& body, const std::string& parameter = "") {
    return parse_command(endpoint, parameter, body, kNow, 250);
}

Command command(Endpoint endpoint, const std::string& body, const std::string& parameter = "") {
    ParsedCommand parsed = parse(endpoint, body, parameter);
    if (const auto* refusal = std::get_if<Response>(&parsed)) FAIL(*refusal->text);
    return std::get<Command>(parsed);
}

/// "422 /to: Must be ..." of the refusal, or "" where it was taken.
std::string refusal(Endpoint endpoint, const std::string& body, const Snapshot& now = kNow) {
    const ParsedCommand parsed = parse_command(endpoint, "", body, now, 250);
    const auto* response = std::get_if<Response>(&parsed);
    if (response == nullptr) return {};
    const auto json = nlohmann::json::parse(*response->text);
    return std::to_string(response->status) + " " + json["detail"].get<std::string>();
}

bool starts(const std::string& text, const std::string& with) {
    INFO(text);
    return text.starts_with(with);
}

}  // namespace

TEST_CASE("a mark happens now, some seconds ago, or at a second since charge") {
    const Command now =
        command(Endpoint::mark, R"({"client_id":"a-1","who":"tablet 2","mark":"first_crack"})");
    CHECK(now.kind == CommandKind::mark);
    CHECK(now.milestone == Milestone::first_crack);
    CHECK(now.at == Tick{592'000});
    CHECK(now.tick == Tick{0});
    CHECK(now.who == "tablet 2");
    CHECK(now.client_id == "a-1");
    CHECK(command(Endpoint::mark, R"({"client_id":"a","mark":"yellow","ago_s":2.6})").at == Tick{589'500});
    CHECK(command(Endpoint::mark, R"({"client_id":"a","mark":"drop","at_s":480.1})").at == Tick{580'000});
    CHECK(command(Endpoint::mark, R"({"client_id":"a","mark":"charge","at_s":-4})").at == Tick{96'000});
}

TEST_CASE("moves, alarms, roasts and targets are read") {
    const Command move =
        command(Endpoint::move, R"({"client_id":"a","control":"airflow","to":62.5,"ago_s":3})");
    CHECK(move.kind == CommandKind::made_move);
    CHECK(move.control == Control::airflow);
    CHECK(move.level_milli == 62'500);
    CHECK(move.at == Tick{589'000});
    const Command retimed =
        command(Endpoint::retime_move, R"({"client_id":"a","control":"burner","made_at_s":90.1,"at_s":78})");
    CHECK(retimed.kind == CommandKind::retime_move);
    CHECK(retimed.was == Tick{190'000});
    CHECK(retimed.at == Tick{178'000});
    const Command seen = command(Endpoint::acknowledge, R"({"client_id":"a"})", "7");
    CHECK(seen.kind == CommandKind::acknowledge);
    CHECK(seen.occurrence == 7);
    CHECK(command(Endpoint::reset, R"({"client_id":"a"})", "12345678901").occurrence == 12'345'678'901);
    CHECK(command(Endpoint::silence, R"({"client_id":"a"})").kind == CommandKind::silence);
    CHECK(command(Endpoint::not_a_charge, R"({"client_id":"a"})").kind == CommandKind::not_a_charge);
    const Command given_up =
        command(Endpoint::abort_roast, R"({"client_id":"a","text":"Gas ran out – to waste"})");
    CHECK(given_up.text == "Gas ran out – to waste");
    const ParsedCommand chosen =
        parse(Endpoint::choose_target, R"({"client_id":"a","name":"Fen Meadow, washed"})");
    REQUIRE(std::holds_alternative<TargetChoice>(chosen));
    CHECK(std::get<TargetChoice>(chosen).name == "Fen Meadow, washed");
    const ParsedCommand none = parse(Endpoint::choose_target, R"({"client_id":"a","name":null})");
    REQUIRE(std::holds_alternative<TargetChoice>(none));
    CHECK(std::get<TargetChoice>(none).name.empty());
}

TEST_CASE("what a reminder asks for is said to be done by its name") {
    const auto parsed =
        parse(Endpoint::reminder_done, R"({"client_id":"c9","who":"Ada","name":"empty the chaff bin"})");
    REQUIRE(std::holds_alternative<ReminderDone>(parsed));
    const auto& done = std::get<ReminderDone>(parsed);
    CHECK(done.name == "empty the chaff bin");
    CHECK(done.who == "Ada");
    CHECK(done.client_id == "c9");
    const auto nameless = parse(Endpoint::reminder_done, R"({"client_id":"c9"})");
    REQUIRE(std::holds_alternative<Response>(nameless));
    CHECK(std::get<Response>(nameless).status == 422);
}

TEST_CASE("a test of the sounders needs a client id, as every command, and nothing else") {
    const auto parsed = parse(Endpoint::test_sounders, R"({"client_id":"a","who":"left tablet"})");
    REQUIRE(std::holds_alternative<SounderTestAsked>(parsed));
    CHECK(std::get<SounderTestAsked>(parsed).who == "left tablet");
    for (const char* body : {R"({"who":"w"})", R"({"client_id":"a","sounder":1})"}) {
        const auto refused = parse(Endpoint::test_sounders, body);
        REQUIRE(std::holds_alternative<Response>(refused));
        CHECK(std::get<Response>(refused).status == 422);
    }
}

TEST_CASE("facts of a roast: those that were given, and null takes one back") {
    const ParsedCommand parsed =
        parse(Endpoint::facts, R"({"client_id":"a","who":"w","roasted_kg":10.26,"colour":null})", "17");
    REQUIRE(std::holds_alternative<FactsGiven>(parsed));
    const FactsGiven& given = std::get<FactsGiven>(parsed);
    CHECK(given.roast == 17);
    CHECK(given.who == "w");
    CHECK(given.client_id == "a");
    REQUIRE(given.facts.size() == 2);
    CHECK(given.facts[0].kind == "roasted_kg");
    CHECK(given.facts[0].value == 10.26);
    CHECK(given.facts[1].kind == "colour");
    CHECK_FALSE(given.facts[1].value);
    CHECK(starts(refusal(Endpoint::facts, R"({"client_id":"a"})"), "422 /roasted_kg: Give roasted_kg"));
    CHECK(starts(refusal(Endpoint::facts, R"({"client_id":"a","roasted_kg":0})"),
                 "422 /roasted_kg: Must be a number from 0.001 to 10000."));
    CHECK(starts(refusal(Endpoint::facts, R"({"client_id":"a","colour":"57"})"), "422 /colour: Must be"));
    CHECK(
        starts(refusal(Endpoint::facts, R"({"client_id":"a","roasted_lb":9})"), "422 /roasted_lb: Unknown"));
}

TEST_CASE("wrong fields are refused with what would be right") {
    CHECK(starts(refusal(Endpoint::mark, R"({"client_id":"a"})"), "422 /mark: Missing"));
    CHECK(starts(refusal(Endpoint::mark, R"({"mark":"drop"})"), "422 /client_id: Missing"));
    CHECK(
        starts(refusal(Endpoint::mark, R"({"client_id":"a","mark":"crack"})"), "422 /mark: Must be charge"));
    CHECK(starts(refusal(Endpoint::mark, R"({"client_id":"a","mark":"drop","when":3})"),
                 "422 /when: Unknown key. Known here are client_id, who, mark, at_s, ago_s, seen."));
    CHECK(starts(refusal(Endpoint::mark, R"({"client_id":"a","mark":"drop","at_s":1,"ago_s":1})"),
                 "422 /at_s: Give at_s or ago_s"));
    for (const char* ago : {"-1", "3601", "\"3\"", "true", "null", "1e300"}) {
        CHECK(starts(
            refusal(Endpoint::mark, R"({"client_id":"a","mark":"drop","ago_s":)" + std::string(ago) + "}"),
            "422 /ago_s: Must be a number from 0 to 3600."));
    }
    CHECK(starts(refusal(Endpoint::move, R"({"client_id":"a","control":"gas","to":1})"),
                 "422 /control: Must be burner"));
    CHECK(starts(refusal(Endpoint::move, R"({"client_id":"a","control":"burner","to":"60"})"),
                 "422 /to: Must be"));
    CHECK(starts(refusal(Endpoint::move, R"({"client_id":"a","control":"burner","to":-1})"),
                 "422 /to: Must be"));
    CHECK(starts(refusal(Endpoint::abort_roast, R"({"client_id":"a","text":""})"),
                 "422 /text: Must be text of 1"));
    CHECK(starts(refusal(Endpoint::choose_target, R"({"client_id":"a"})"), "422 /name: Missing"));
    CHECK(starts(refusal(Endpoint::silence, R"({"client_id":"a\nb"})"), "422 /client_id: Must be"));
    CHECK(starts(refusal(Endpoint::silence, R"({"client_id":")" + std::string(65, 'x') + "\"}"),
                 "422 /client_id"));
    const std::string both = refusal(Endpoint::move, R"({"control":7})");
    CHECK(both.find("/client_id") != std::string::npos);
    CHECK(both.find("/control") != std::string::npos);
    CHECK(both.find("/to") != std::string::npos);
}

TEST_CASE("a client id of 64 characters counts characters and not bytes") {
    std::string id;
    for (int i = 0; i < 64; ++i) id += "é";
    CHECK(refusal(Endpoint::silence, R"({"client_id":")" + id + "\"}").empty());
}

TEST_CASE("a time since charge needs a roast and a time in the watch") {
    Snapshot idle = kNow;
    idle.roast.reset();
    CHECK(starts(refusal(Endpoint::mark, R"({"client_id":"a","mark":"drop","at_s":1})", idle), "409 "));
    CHECK(refusal(Endpoint::mark, R"({"client_id":"a","mark":"charge","ago_s":2})", idle).empty());
    CHECK(starts(refusal(Endpoint::mark, R"({"client_id":"a","mark":"drop","ago_s":600})"),
                 "422 That is before"));
    CHECK(refusal(Endpoint::mark, R"({"client_id":"a","mark":"drop","ago_s":592})").empty());
}

TEST_CASE("what is not one plain JSON object is refused") {
    for (const std::string body : {"", " ", "null", "3", "[]", "[{}]", "{", "{}x", "{\"a\":1,}",
                                   "{\"a\":[1]}", "{\"a\":{}}", "{\"a\":1,\"a\":1}", "{'a':1}", "{\"a\":NaN}",
                                   "{\"a\":\"\xFF\"}", "{\"a\":1e999}", "{\"a\":01}", "\xEF\xBB\xBF"}) {
        CHECK_MESSAGE(refusal(Endpoint::silence, body).starts_with("400 "), body);
    }
    CHECK(refusal(Endpoint::silence, std::string(200'000, '[')).starts_with("400 "));
    std::string many = "{\"client_id\":\"a\"";
    for (int i = 0; i < 40; ++i) many += ",\"k" + std::to_string(i) + "\":0";
    CHECK(refusal(Endpoint::silence, many + "}").starts_with("400 "));
}

TEST_CASE("a flat object keeps its values apart by type") {
    const auto object = FlatObject::parse(R"({"n":null,"b":true,"i":-3,"u":4,"f":0.25,"s":"x"})");
    REQUIRE(object.ok());
    CHECK(std::holds_alternative<std::nullptr_t>(*object.value().find("n")));
    CHECK(std::get<bool>(*object.value().find("b")));
    CHECK(std::get<double>(*object.value().find("i")) == -3);
    CHECK(std::get<double>(*object.value().find("u")) == 4);
    CHECK(std::get<double>(*object.value().find("f")) == 0.25);
    CHECK(std::get<std::string>(*object.value().find("s")) == "x");
    CHECK(object.value().find("z") == nullptr);
}
