// The probes as the links see them: real sockets and pseudo-terminals.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <thread>

#include "probes/probe_text.hpp"
#include "support/raw_server.hpp"
#include "support/rtu_slave.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

Config station_on(BusConfig bus, std::size_t channels) {
    Config config;
    config.station = "Saltmarsh Mill, station 2";
    for (std::size_t i = 0; i < channels; ++i)
        config.channels.push_back(
            make_channel(i == 0 ? "bean" : "probe_" + std::to_string(i + 1), Unit::celsius));
    config.buses.push_back(std::move(bus));
    return config;
}

ChannelSource source(std::uint8_t channel, std::uint8_t unit, std::uint16_t address,
                     DataType type = DataType::int16) {
    ChannelSource made;
    made.channel = channel;
    made.modbus = ModbusSource{RegisterTable::input, address, unit, type, WordOrder::abcd, std::nullopt};
    made.scale = type == DataType::int16 ? 0.1 : 1;
    made.span_low_milli = -50'000;
    made.span_high_milli = 1'000'000;
    return made;
}

ProbeView settled_view(ProbeLook& look) {
    const auto end = std::chrono::steady_clock::now() + 20s;
    while (!look.settled() && std::chrono::steady_clock::now() < end) {
        look.poll();
        std::this_thread::sleep_for(10ms);
    }
    CHECK(look.settled());
    return look.view();
}

std::string text_of(const std::vector<ProbeComplaint>& list, const std::string& who) {
    for (const ProbeComplaint& one : list)
        if (one.who == who) return one.text + "|" + one.look_first;
    return "";
}

}  // namespace

TEST_CASE("tolerances are those of IEC 60584-1 and IEC 60751") {
    // Public tables that cite the standards: K class 1 is 1.5 or 0.4 %, class 2 is 2.5 or 0.75 %; platinum
    // class B is 0.3 + 0.5 %.
    const auto wire = tolerances_of(ThermocoupleSource{'K', 0, std::nullopt}, 400);
    REQUIRE(wire.size() == 2);
    CHECK(wire[0].plus_minus_c == doctest::Approx(1.6));
    CHECK(wire[1].plus_minus_c == doctest::Approx(3.0));
    const auto platinum = tolerances_of(RtdSource{}, 200);
    REQUIRE(platinum.size() == 1);
    CHECK(platinum[0].tolerance_class == "B");
    CHECK(platinum[0].plus_minus_c == doctest::Approx(1.3));
    CHECK(tolerances_of(std::monostate{}, 200).empty());
    CHECK(tolerances_of(ThermocoupleSource{'K', 0, std::nullopt}, 1250).empty());
}

TEST_CASE("a good unit, a dead one and swapped words stand beside each other with what to look at first") {
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] != 1) return;
        if (request[3] == 40) return line.send(with_crc({1, 4, 4, 0x80, 0x00, 0x43, 0x3B}));
        line.send(rtu_answer(request, 2053));
    });
    BusConfig bus;
    bus.name = "line";
    bus.kind = BusKind::modbus_rtu;
    bus.device = slave.path();
    bus.timeout_ms = 200;
    bus.writable_coils = {4};
    bus.channels = {source(0, 1, 0), source(1, 2, 0), source(2, 1, 40, DataType::float32)};
    ProbeLook look(station_on(bus, 3));
    const ProbeView view = settled_view(look);
    CHECK(!view.all_good());
    CHECK(view.lines[0].quality == Quality::good);
    CHECK(view.lines[0].value_milli == 205'300);
    CHECK(raw_words(view.lines[0].raw) == "0805");
    CHECK(view.lines[1].quality == Quality::bad_reply);
    CHECK(view.buses[0].counters.up);
    const auto complaints = complaints_of(view);
    CHECK(text_of(complaints, "probe_2").starts_with("The device does not answer."));
    CHECK(text_of(complaints, "probe_3").find("\"order\"") != std::string::npos);
    CHECK(text_of(complaints, "bean").empty());
    const std::string table = probe_table(view, "Saltmarsh Mill");
    CHECK(table.find("205.30 °C") != std::string::npos);
    CHECK(table.find("look first: Does it have power") != std::string::npos);
    for (const Bytes& request : slave.requests()) CHECK((request.at(1) == 3 || request.at(1) == 4));

    const auto json = nlohmann::json::parse(probe_json(view, "Saltmarsh Mill"));
    CHECK(json["good"] == false);
    CHECK(json["channels"][0]["value"] == 205.3);
    CHECK(json["channels"][0]["raw"]["registers"][0] == 2053);
    CHECK(json["channels"][1]["value"].is_null());
    CHECK(json["channels"][1]["faults"]["silent"].get<int>() > 0);
    CHECK(json["complaints"].size() == complaints.size());
}

TEST_CASE("a bus that is not there makes its channels silent and says why") {
    std::uint16_t port = 0;
    {
        RawServer gone([](RawServer::Connection&, const Bytes&) {});
        port = gone.port();
    }
    BusConfig bus;
    bus.name = "machine";
    bus.host = "127.0.0.1";
    bus.port = port;
    bus.channels = {source(0, 1, 0)};
    ProbeLook look(station_on(bus, 1));
    const ProbeView view = settled_view(look);
    CHECK(view.lines[0].quality == Quality::bus_silent);
    const auto complaints = complaints_of(view);
    REQUIRE(complaints.size() == 1);
    CHECK(complaints[0].fault == LinkFault::not_open);
    CHECK(complaints[0].text.find("Connection refused") != std::string::npos);
    CHECK(!complaints[0].look_first.empty());
}

TEST_CASE("a value outside what the probe can read is not called good") {
    RtuSlave slave(
        [](RtuSlave::Line& line, const Bytes& request) { line.send(rtu_answer(request, 12'000)); });
    BusConfig bus;
    bus.name = "line";
    bus.kind = BusKind::modbus_rtu;
    bus.device = slave.path();
    bus.channels = {source(0, 1, 0)};
    ProbeLook look(station_on(bus, 1));
    const ProbeView view = settled_view(look);
    CHECK(view.lines[0].quality == Quality::out_of_span);
    REQUIRE(complaints_of(view).size() == 1);
    CHECK(complaints_of(view)[0].text == "The value lies outside what the probe can read.");
    CHECK(complaints_of(view)[0].look_first.starts_with("Are scale, type and span of the channel right?"));
}

TEST_CASE("what a device sends moves no cursor") {
    RawValue raw;
    raw.kind = RawValue::Kind::text;
    raw.length = 3;
    raw.bytes[0] = '\033';
    raw.bytes[1] = '[';
    raw.bytes[2] = 'J';
    CHECK(raw_words(raw) == "\"\\x1b[J\"");
}
