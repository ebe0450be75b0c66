// `drumwatch probes` as a person at the machine uses it: against the simulator and against an independent
// servers (python3-pymodbus, jsmodbus), and what a scan prints is given to the daemon as it is.
#include <doctest/doctest.h>
#include <sys/file.h>

#include <chrono>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "simulator_run.hpp"
#include "support/child_process.hpp"
#include "support/raw_client.hpp"
#include "support/temp_dir.hpp"
#include "support/terminal.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

/// The file as the scan printed it, but for the page's port, which another program may have.
std::string keep(const TempDir& folder, std::string text) {
    const std::string usual = "\"port\": 8420";
    const std::size_t at = text.find(usual);
    REQUIRE(at != std::string::npos);
    text.replace(at, usual.size(), "\"port\": 0");
    const std::string path = folder.file("station.json");
    std::ofstream(path) << text;
    return path;
}

/// What the daemon says of its bean probe on that configuration, once it is good.
double bean_by_daemon(const std::string& config) {
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", config});
    const std::string page = daemon.expect_line("page: ", kHang);
    const auto port = static_cast<std::uint16_t>(std::stoi(page.substr(page.rfind(':') + 1)));
    const auto end = std::chrono::steady_clock::now() + kHang;
    while (std::chrono::steady_clock::now() < end) {
        const RawResponse response = RawClient(port).get("/api/status");
        if (response.status == 200) {
            const auto bean = nlohmann::json::parse(response.body).at("channels").at("bean");
            if (bean.at("quality") == "good") return bean.at("value").get<double>();
        }
        std::this_thread::sleep_for(50ms);
    }
    FAIL("the bean probe never became good: ", daemon.errors());
    return 0;
}

Finished drumwatch_probes(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), {DRUMWATCH_DAEMON, "probes"});
    return run_program(arguments, kHang);
}

}  // namespace

TEST_CASE("what a scan of the simulator prints is checked and run unedited, and probes reads the same") {
    Simulator machine;
    TempDir folder;
    const auto scanned = drumwatch_probes({"--scan", machine.place, "--units", "1-2"});
    REQUIRE_MESSAGE(scanned.status == 0, scanned.errors);
    std::ofstream(folder.file("unedited.json")) << scanned.output;
    const auto checked = run_program({DRUMWATCH_DAEMON, "check", folder.file("unedited.json")}, kHang);
    CHECK_MESSAGE(checked.status == 0, checked.errors);

    const std::string config = keep(folder, scanned.output);
    const auto once = drumwatch_probes({config, "--once", "--json"});
    REQUIRE_MESSAGE(once.status == 0, once.output, once.errors);
    const auto seen = nlohmann::json::parse(once.output);
    CHECK(seen["good"] == true);
    CHECK(seen["channels"][0]["channel"] == "bean");
    const double bean = bean_by_daemon(config);
    CHECK(bean > 10);
    CHECK(bean < 260);
    // Seconds apart, four times as fast as life: some 20 °C at most.
    CHECK(bean == doctest::Approx(seen["channels"][0]["value"].get<double>()).epsilon(0.3));
}

TEST_CASE("an independent server's float is found, and the daemon reads 205.3 from it") {
    ChildProcess server({"/usr/bin/python3", DRUMWATCH_REFERENCE "/modbus/pymodbus_server.py"});
    const std::string place = "127.0.0.1:" + server.expect_line("modbus: 127.0.0.1:", kHang);
    TempDir folder;
    const auto scanned = drumwatch_probes({"--scan", place, "--units", "1", "--json"});
    REQUIRE_MESSAGE(scanned.status == 0, scanned.errors);
    const auto found = nlohmann::json::parse(scanned.output);
    CHECK(found["units"] == nlohmann::json::array({1}));
    const auto& first = found["guesses"][0];
    CHECK(first["address"] == 100);
    CHECK(first["type"] == "float32");
    CHECK(first["order"] == "ABCD");
    CHECK(bean_by_daemon(keep(folder, found["configuration"])) == doctest::Approx(205.3));
}

TEST_CASE("another independent server's three temperatures are found, and the daemon reads the first") {
    ChildProcess server({NODE, DRUMWATCH_REFERENCE "/modbus/jsmodbus/server.mjs"});
    const std::string place = "127.0.0.1:" + server.expect_line("modbus: 127.0.0.1:", kHang);
    TempDir folder;
    const auto scanned = drumwatch_probes({"--scan", place, "--units", "2-3", "--json"});
    REQUIRE_MESSAGE(scanned.status == 0, scanned.errors);
    const auto found = nlohmann::json::parse(scanned.output);
    CHECK(found["units"] == nlohmann::json::array({2}));
    REQUIRE(found["guesses"].size() == 3);
    const double celsius[]{222.2, 186.7, 30.5};
    for (std::size_t i = 0; i < 3; ++i) {
        const auto& guess = found["guesses"][i];
        CHECK(guess["table"] == "input");
        CHECK(guess["address"] == i);
        CHECK(guess["type"] == "int16");
        CHECK(guess["unit"] == "°C");
        CHECK(guess["celsius"].get<double>() == doctest::Approx(celsius[i]));
    }
    CHECK(bean_by_daemon(keep(folder, found["configuration"])) == doctest::Approx(222.2));
}

TEST_CASE("probes goes on until it is told to stop, and says once more when a probe is lost") {
    auto machine = std::make_unique<Simulator>();
    TempDir folder;
    const auto scanned = drumwatch_probes({"--scan", machine->place, "--units", "1"});
    REQUIRE(scanned.status == 0);
    const std::string config = keep(folder, scanned.output);
    ChildProcess look({DRUMWATCH_DAEMON, "probes", config, "--json"});
    const auto first = nlohmann::json::parse(look.expect_line("", kHang));
    CHECK(first["good"] == true);
    machine.reset();
    const auto end = std::chrono::steady_clock::now() + kHang;
    nlohmann::json last = first;
    while (last["good"] == true && std::chrono::steady_clock::now() < end)
        last = nlohmann::json::parse(look.expect_line("", kHang));
    CHECK(last["channels"][0]["quality"] == "bus_silent");
    REQUIRE(!last["complaints"].empty());
    CHECK(!last["complaints"][0]["look_first"].get<std::string>().empty());
    look.send_signal(SIGINT);
    CHECK(look.wait(kHang) == 0);
    const auto once = drumwatch_probes({config, "--once"});
    CHECK(once.status == 1);
    CHECK(once.output.find("look first:") != std::string::npos);
}

TEST_CASE("init writes down what a scan finds, and nothing where it finds none") {
    Simulator machine;
    TempDir folder;
    const std::string file = folder.file("new.json");
    const auto made =
        run_program({DRUMWATCH_DAEMON, "init", file, "--modbus", machine.place, "--scan"}, kHang);
    REQUIRE_MESSAGE(made.status == 0, made.errors);
    const auto checked = run_program({DRUMWATCH_DAEMON, "check", file}, kHang);
    CHECK_MESSAGE(checked.status == 0, checked.errors);
    std::ifstream written(file);
    const std::string text((std::istreambuf_iterator<char>(written)), {});
    CHECK(text.find("probe_2") != std::string::npos);
    const auto nobody = run_program(
        {DRUMWATCH_DAEMON, "init", folder.file("none.json"), "--modbus", "127.0.0.1:1", "--scan"}, kHang);
    CHECK(nobody.status == 1);
    CHECK(!std::ifstream(folder.file("none.json")).good());
}

TEST_CASE("a serial port that another program reads is said to be so") {
    Terminal device;
    const int other = ::open(device.path().c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(::flock(other, LOCK_EX | LOCK_NB) == 0);
    TempDir folder;
    std::ofstream(folder.file("station.json"))
        << R"({"station":"Saltmarsh Mill","buses":[{"name":"line","kind":"serial_text","device":")"
        << device.path() << R"("}],"channels":[{"name":"bean","bus":"line","unit":"°C","text":{"field":1}}],)"
        << R"("limiter":"none stated","record":{"path":"r.sqlite"},"web":{"port":1}})";
    const auto once = drumwatch_probes({folder.file("station.json"), "--once"});
    CHECK(once.status == 1);
    CHECK(once.output.find("another program uses " + device.path()) != std::string::npos);
    const auto scanned = drumwatch_probes({"--scan", device.path()});
    CHECK(scanned.status == 1);
    CHECK(scanned.errors.find("another program uses " + device.path()) != std::string::npos);
    ::close(other);
}

TEST_CASE("wrong calls of probes are refused with a sentence") {
    CHECK(drumwatch_probes({}).status == 2);
    CHECK(drumwatch_probes({"--scan", "127.0.0.1:99999"}).status == 2);
    CHECK(drumwatch_probes({"--scan", "127.0.0.1", "--units", "0-300"}).status == 2);
    CHECK(drumwatch_probes({"--scan", "127.0.0.1", "--addresses", "0-60000"}).status == 2);
    CHECK(drumwatch_probes({"--baud", "9600"}).status == 2);
    CHECK(drumwatch_probes({"/no/such.json"}).status == 1);
    const auto nobody = drumwatch_probes({"--scan", "127.0.0.1:1", "--timeout-ms", "200"});
    CHECK(nobody.status == 1);
    CHECK(nobody.errors.find("cannot connect to 127.0.0.1:1") != std::string::npos);
}
