// A scan against real sockets and pseudo-terminals: what goes over the wire is looked at, and what is printed
// is a configuration.
#include <doctest/doctest.h>
#include <poll.h>
#include <termios.h>

#include <map>
#include <thread>

#include "config/config.hpp"
#include "scan/scan.hpp"
#include "support/raw_server.hpp"
#include "support/rtu_slave.hpp"
#include "support/terminal.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

const std::atomic<bool> kNeverEnded{false};
void tell_nobody(const std::string&) {}

ScanPlan plan_for(std::vector<std::uint8_t> units) {
    ScanPlan plan;
    plan.units = std::move(units);
    plan.timeout = 200ms;
    plan.between = 50ms;
    return plan;
}

/// Unit 1 (or any) with registers 40 to 42 in the input table only.
Bytes answer_of(const Bytes& pdu, std::uint16_t noise) {
    const int first = pdu.at(2) << 8 | pdu.at(3);
    const int count = pdu.at(4) << 8 | pdu.at(5);
    const auto refuse = [&](std::uint8_t code) {
        return Bytes{pdu[0], static_cast<std::uint8_t>(pdu[1] | 0x80), code};
    };
    if (pdu[1] == 3) return refuse(1);
    if (first < 40 || first + count > 43) return refuse(2);
    Bytes answer{pdu[0], pdu[1], static_cast<std::uint8_t>(2 * count)};
    for (int at = first; at < first + count; ++at) {
        const auto word = static_cast<std::uint16_t>(2000 + at + noise);
        answer.push_back(static_cast<std::uint8_t>(word >> 8U));
        answer.push_back(static_cast<std::uint8_t>(word & 0xFFU));
    }
    return answer;
}

void answer_tcp(RawServer::Connection& connection, const Bytes& request, bool any_unit) {
    static std::atomic<std::uint16_t> noise{0};
    const Bytes pdu(request.begin() + 6, request.end());
    if (!any_unit && pdu[0] != 5)
        return connection.send(
            {request[0], request[1], 0, 0, 0, 3, pdu[0], static_cast<std::uint8_t>(pdu[1] | 0x80), 11});
    const Bytes answer = answer_of(pdu, static_cast<std::uint16_t>(++noise % 4));
    Bytes frame{request[0], request[1], 0, 0, 0, static_cast<std::uint8_t>(answer.size())};
    for (const std::uint8_t byte : answer) frame.push_back(byte);
    connection.send(frame);
}

void check_runs(const ScanResult& result, std::size_t channels) {
    const std::string text = scan_report(result) + scan_configuration(result);
    const ConfigReading reading = parse_config(text, "station.json");
    for (const ConfigMistake& mistake : reading.mistakes) MESSAGE(mistake.pointer, ": ", mistake.message);
    REQUIRE(reading.config);
    CHECK(reading.config->channels.size() == channels);
    CHECK(reading.config->channels[0].name == "bean");
    CHECK(reading.config->buses[0].writable_coils.empty());
}

}  // namespace

TEST_CASE("a scan over TCP finds the unit behind a gateway and its registers, by functions 3 and 4 alone") {
    RawServer device(
        [](RawServer::Connection& line, const Bytes& request) { answer_tcp(line, request, false); });
    ScanPlan plan = plan_for({1, 2, 5, 6});
    plan.host = "127.0.0.1";
    plan.port = device.port();
    const auto found = scan(plan, kNeverEnded, tell_nobody);
    REQUIRE_MESSAGE(found, found.error());
    CHECK(found.value().units == std::vector<std::uint8_t>{5});
    REQUIRE(found.value().images.size() == 1);
    CHECK(found.value().images[0].first.size() == 3);
    CHECK(found.value().guesses.size() == 3);
    for (const Bytes& request : device.requests()) CHECK((request.at(7) == 3 || request.at(7) == 4));
    CHECK(device.requests().size() < 300);  // for 200 addresses, of which three are there
    check_runs(found.value(), 3);
    CHECK(scan_report(found.value()).find("40 to 42") != std::string::npos);
}

TEST_CASE("a device that ignores the unit id is one device") {
    RawServer device(
        [](RawServer::Connection& line, const Bytes& request) { answer_tcp(line, request, true); });
    ScanPlan plan = plan_for({1, 2, 3});
    plan.host = "127.0.0.1";
    plan.port = device.port();
    const auto found = scan(plan, kNeverEnded, tell_nobody);
    REQUIRE_MESSAGE(found, found.error());
    CHECK(found.value().units.size() == 3);
    CHECK(found.value().same_as_first == std::vector<std::uint8_t>{2, 3});
    check_runs(found.value(), 3);
}

TEST_CASE("nothing that answers is a sentence with what to look at") {
    RawServer silent([](RawServer::Connection&, const Bytes&) {});
    ScanPlan plan = plan_for({1});
    plan.host = "127.0.0.1";
    plan.port = silent.port();
    const auto found = scan(plan, kNeverEnded, tell_nobody);
    REQUIRE(!found);
    CHECK(found.error().find("no unit answers") != std::string::npos);
    const std::atomic<bool> ended{true};
    CHECK(!scan(plan, ended, tell_nobody));
}

TEST_CASE("a scan of a serial line finds the units that answer and says at which speed") {
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] == 7) line.send(with_crc(answer_of(request, 0)));
    });
    ScanPlan plan = plan_for({6, 7});
    plan.device = slave.path();
    plan.addresses = {32, 47};
    const auto found = scan(plan, kNeverEnded, tell_nobody);
    REQUIRE_MESSAGE(found, found.error());
    CHECK(found.value().units == std::vector<std::uint8_t>{7});
    CHECK(found.value().bus.baud == 19200);
    CHECK(found.value().bus.parity == Parity::even);
    for (const Bytes& request : slave.requests()) CHECK((request.at(1) == 3 || request.at(1) == 4));
    check_runs(found.value(), 3);
}

TEST_CASE("a serial device that speaks by itself is only listened to") {
    Terminal device;
    termios mode{};
    REQUIRE(::tcgetattr(device.descriptor(), &mode) == 0);
    ::cfmakeraw(&mode);  // or the terminal itself would echo what the device sends
    REQUIRE(::tcsetattr(device.descriptor(), TCSANOW, &mode) == 0);
    std::jthread sender([&](const std::stop_token& stop) {
        for (int i = 0; !stop.stop_requested(); ++i) {
            const std::string line = "bean=201." + std::to_string(i % 10) + ";air=250.0\r\n";
            (void)!::write(device.descriptor(), line.data(), line.size());
            std::this_thread::sleep_for(30ms);
        }
    });
    ScanPlan plan = plan_for({1});
    plan.device = device.path();
    const auto found = scan(plan, kNeverEnded, tell_nobody);
    sender.request_stop();
    sender.join();
    REQUIRE_MESSAGE(found, found.error());
    CHECK(found.value().bus.kind == BusKind::serial_text);
    REQUIRE(found.value().text);
    CHECK(found.value().text->delimiter == ';');
    CHECK(found.value().text->temperatures.size() == 2);
    check_runs(found.value(), 2);
    pollfd sent{device.descriptor(), POLLIN, 0};
    ::poll(&sent, 1, 0);
    CHECK((sent.revents & POLLIN) == 0);
}

TEST_CASE("a port that is not there, or is none, is a sentence") {
    ScanPlan plan = plan_for({1});
    plan.device = "/dev/no-such-port";
    const auto none = scan(plan, kNeverEnded, tell_nobody);
    REQUIRE(!none);
    CHECK(none.error() == "cannot open /dev/no-such-port: No such file or directory");
    plan.device = "/dev/null";
    CHECK(!scan(plan, kNeverEnded, tell_nobody));
}
