// `drumwatch probes` as a person at the machine uses it: against the simulator and against an independent
// servers (python3-pymodbus, jsmodbus), and what a scan prints is given to the daemon as it is.
#include <doctest/doctest.h>
#include <sys/file.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "support/child_process.hpp"
#include "support/raw_client.hpp"
#include "support/temp_dir.hpp"
#include "support/terminal.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr auto kHang = 120s;  // only to stop a hang

struct Simulator {
    explicit Simulator(std::vector<std::string> more = {})
        : process([&] {
              std::vector<std::string> all{DRUMWATCH_SIM, "--speed", "4"};
              all.insert(all.end(), more.begin(), more.end());
              return all;
          }()),
          place("127.0.0.1:" + process.expect_line("modbus: 127.0.0.1:", kHang)) {}
    ChildProcess process;
    std::string place;
};

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

namespace {

/// The readings of one capture file, in their order: channel and value in thousandths.
std::vector<std::pair<std::string, int>> readings_in(const std::string& path) {
    std::vector<std::pair<std::string, int>> readings;
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);) {
        const auto json = nlohmann::json::parse(line);
        if (!json.contains("readings")) continue;
        for (const auto& one : json["readings"])
            if (one.contains("value_milli")) readings.emplace_back(one["channel"], one["value_milli"]);
    }
    return readings;
}

/// Runs the daemon for a while with a capture; gives the capture's file.
std::string capture_of(const std::string& config, const std::string& folder, std::chrono::seconds how_long) {
    std::filesystem::create_directory(folder);
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", config, "--capture", folder});
    daemon.expect_line("page: ", kHang);
    std::this_thread::sleep_for(how_long);
    daemon.send_signal(SIGTERM);
    REQUIRE(daemon.wait(kHang) == 0);
    for (const auto& entry : std::filesystem::directory_iterator(folder)) return entry.path().string();
    FAIL("no capture was made: ", daemon.errors());
    return "";
}

}  // namespace

TEST_CASE("a capture of a real run, played back by another station, gives the same readings in their order") {
    Simulator machine({"--serial"});
    const std::string serial = machine.process.expect_line("serial: ", kHang);
    TempDir folder;
    std::ofstream(folder.file("real.json"))
        << R"({"station":"Saltmarsh Mill","buses":[{"name":"line","kind":"serial_text","device":")" << serial
        << R"("}],"channels":[{"name":"bean","bus":"line","unit":"°C","text":{"field":1}},)"
        << R"({"name":"exhaust","bus":"line","unit":"°C","text":{"field":2}}],)"
        << R"("limiter":"none stated","record":{"path":"real.sqlite"},"web":{"port":0}})";
    const std::string first = capture_of(folder.file("real.json"), folder.file("first"), 3s);
    const auto captured = readings_in(first);
    CHECK(captured.size() > 10);

    std::ofstream(folder.file("played.json"))
        << R"({"station":"Saltmarsh Mill","buses":[{"name":"line","kind":"playback","file":")" << first
        << R"("}],"channels":[{"name":"exhaust","bus":"line","unit":"°C"},)"
        << R"({"name":"bean","bus":"line","unit":"°C"}],)"
        << R"("limiter":"none stated","record":{"path":"played.sqlite"},"web":{"port":0}})";
    const auto played = readings_in(capture_of(folder.file("played.json"), folder.file("second"), 4s));
    // A daemon that was held up for a second skips what is old; nothing else may be missing, added or
    // changed.
    auto at = captured.begin();
    for (const auto& reading : played) {
        at = std::find(at, captured.end(), reading);
        REQUIRE(at != captured.end());
        ++at;
    }
    CHECK(played.size() * 2 > captured.size());
}

TEST_CASE("a capture that can't be made is refused at the start") {
    Simulator machine;
    TempDir folder;
    const auto scanned = drumwatch_probes({"--scan", machine.place, "--units", "1"});
    const auto refused = run_program(
        {DRUMWATCH_DAEMON, "run", keep(folder, scanned.output), "--capture", folder.file("no/such/folder")},
        kHang);
    CHECK(refused.status == 1);
    CHECK(refused.errors.find("--capture: ") != std::string::npos);
    CHECK(refused.errors.find("name a folder") != std::string::npos);
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
