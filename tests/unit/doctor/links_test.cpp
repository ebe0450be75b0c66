// Buses: real sockets and pseudo-terminals. What goes over the wire is looked at: nothing may be written.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <fstream>
#include <thread>

#include "doctor/doctor.hpp"
#include "support/raw_server.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

/// Answers every read of registers with zeros (Modbus Application Protocol V1.1b3, 6.3 and 6.4).
void answer_zeros(RawServer::Connection& connection, const Bytes& request) {
    const auto registers = static_cast<std::uint8_t>(request.at(11));
    Bytes answer(request.begin(), request.begin() + 8);
    answer.push_back(static_cast<std::uint8_t>(registers * 2));
    answer.insert(answer.end(), registers * 2u, 0);
    answer[4] = 0;
    answer[5] = static_cast<std::uint8_t>(answer.size() - 6);
    connection.send(answer);
}

Config modbus_station(std::uint16_t port) {
    Config config;
    BusConfig bus;
    bus.name = "controller";
    bus.host = "127.0.0.1";
    bus.port = port;
    bus.writable_coils = {0, 1};
    ChannelSource bean;
    bean.modbus = ModbusSource{};
    bus.channels = {bean};
    config.buses = {bus};
    return config;
}

Config serial_station(const std::string& device) {
    Config config;
    BusConfig bus;
    bus.name = "logger";
    bus.kind = BusKind::serial_text;
    bus.device = device;
    bus.timeout_ms = 1500;
    ChannelSource bean;
    bean.text = TextSource{};
    bus.channels = {bean};
    config.buses = {bus};
    return config;
}

}  // namespace

TEST_CASE("a device that answers is well, and is only read from") {
    RawServer device(answer_zeros);
    const auto findings = look_at_buses(modbus_station(device.port()), false);
    REQUIRE(findings.size() == 1);
    CHECK_MESSAGE(findings[0].state == FindingState::well, findings[0].text);
    REQUIRE(!device.requests().empty());
    for (const Bytes& request : device.requests()) {
        const int function = request.at(7);
        CHECK((function == 3 || function == 4));  // read holding, read input registers
    }
}

TEST_CASE("a device that isn't there, or says nothing, is broken, with what to do") {
    std::uint16_t port = 0;
    {
        RawServer gone(answer_zeros);
        port = gone.port();
    }
    const auto refused = look_at_buses(modbus_station(port), false);
    REQUIRE(refused.size() == 1);
    CHECK(refused[0].state == FindingState::broken);
    CHECK(!refused[0].advice.empty());
    RawServer silent([](RawServer::Connection&, const Bytes&) {});
    CHECK(look_at_buses(modbus_station(silent.port()), false)[0].state == FindingState::broken);
}

TEST_CASE("while a daemon watches, the buses are left alone") {
    RawServer device(answer_zeros);
    CHECK(look_at_buses(modbus_station(device.port()), true).empty());
    CHECK(device.connections() == 0);
}

TEST_CASE("a serial stream that sends lines is well, and nothing is written to it") {
    termios raw{};  // or the terminal itself would echo what the device sends
    ::cfmakeraw(&raw);
    raw.c_cflag |= CREAD;
    int device = -1, line = -1;
    char path[128] = {};
    REQUIRE(::openpty(&device, &line, path, &raw, nullptr) == 0);
    ::close(line);
    std::jthread sender([device](const std::stop_token& stop) {
        while (!stop.stop_requested()) {
            (void)!::write(device, "201.5,250.0\n", 12);
            pollfd nothing{-1, 0, 0};
            ::poll(&nothing, 1, 50);
        }
    });
    const auto findings = look_at_buses(serial_station(path), false);
    sender.request_stop();
    sender.join();
    REQUIRE(findings.size() == 1);
    CHECK_MESSAGE(findings[0].state == FindingState::well, findings[0].text);
    ::fcntl(device, F_SETFL, O_NONBLOCK);
    char byte = 0;
    CHECK(::read(device, &byte, 1) <= 0);
    ::close(device);
}

TEST_CASE("a serial port that isn't there, is a file, or is silent, is broken") {
    TempDir folder;
    CHECK(look_at_buses(serial_station(folder.file("none")), false)[0].state == FindingState::broken);
    std::ofstream(folder.file("file")) << "x";
    const auto file = look_at_buses(serial_station(folder.file("file")), false);
    REQUIRE(file.size() == 1);
    CHECK(file[0].text.find("is no serial port") != std::string::npos);
    int device = -1, line = -1;
    char path[128] = {};
    REQUIRE(::openpty(&device, &line, path, nullptr, nullptr) == 0);
    ::close(line);
    CHECK(look_at_buses(serial_station(path), false).back().state == FindingState::broken);
    ::close(device);
}

TEST_CASE("a capture that isn't there is broken, and what to do is said of a capture") {
    TempDir folder;
    Config config = serial_station(folder.file("none.jsonl"));
    config.buses[0].kind = BusKind::playback;
    const auto findings = look_at_buses(config, false);
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].state == FindingState::broken);
    CHECK(findings[0].text.starts_with(folder.file("none.jsonl") + ": "));
    CHECK(findings[0].advice.starts_with("See that the file is a whole capture"));
}

TEST_CASE("no sounder is to be looked at, and one that is there is named and not tried") {
    Config config = modbus_station(502);
    REQUIRE(look_at_sounders(config).size() == 1);
    CHECK(look_at_sounders(config)[0].state == FindingState::look);
    SounderConfig coil;
    coil.name = "horn";
    coil.coil = CoilConfig{0, 7};
    SounderConfig line;
    line.output.line = {"/dev/gpiochip-that-is-not-there", 3, false};
    SounderConfig command;
    command.output.kind = SounderKind::command;
    command.output.command = {"/bin/true"};
    config.sounders = {coil, line, command};
    const auto findings = look_at_sounders(config);
    REQUIRE(findings.size() == 3);
    CHECK(findings[0].state == FindingState::well);
    CHECK(findings[0].text.find("\"horn\": coil 7 on bus controller") == 0);
    CHECK(findings[1].state == FindingState::broken);
    CHECK(findings[2].state == FindingState::well);
}

TEST_CASE("rights to a port are those of the user that the daemon runs as") {
    // nobody (base-passwd's user of every Debian) is in no group of serial ports.
    TempDir folder;
    const std::string port = folder.file("port");
    std::ofstream(port) << "x";
    REQUIRE(::chmod(port.c_str(), 0660) == 0);
    const auto refused = look_at_rights(port, "nobody");
    REQUIRE(refused);
    CHECK(refused->state == FindingState::broken);
    CHECK(refused->text.find("has the rights 660") != std::string::npos);
    CHECK(refused->advice.find("adduser") == std::string::npos);  // never into root's group
    REQUIRE(::chmod(port.c_str(), 0666) == 0);
    CHECK(!look_at_rights(port, "nobody"));
    CHECK(!look_at_rights(port, "no-such-user"));
}
