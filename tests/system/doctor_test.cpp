// `drumwatch doctor` as a person runs it: exit codes, JSON, a living daemon beside it, a device that is only
// read.
#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "support/child_process.hpp"
#include "support/raw_server.hpp"
#include "support/temp_dir.hpp"
#include "web/listening_port.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr auto kHang = 60s;  // only stops a hang

std::string write_station(const TempDir& folder, const std::string& modbus_port, std::uint16_t web_port,
                          const std::string& record_folder = "") {
    const std::string path = folder.file("station.json");
    std::ofstream(path) << R"({"station":"Test","limiter":"none stated",
"buses":[{"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":)"
                        << modbus_port << R"(}],
"channels":[{"name":"bean","bus":"machine","unit":"°C","modbus":{"table":"input","address":0,"type":"int16"},"scale":0.1}],
"sounder":{"bus":"machine","coil":0},
"record":{"budget_mb":100,"path":")"
                        << record_folder << R"(record.sqlite"},"web":{"port":)" << web_port << "}}";
    return path;
}

std::uint16_t free_port() {
    const auto port = ListeningPort::open("127.0.0.1", 0);
    REQUIRE(port);
    return port.value().port();
}

struct Report {
    int status;
    nlohmann::json json;
    std::string state(const std::string& topic) const {
        for (const auto& finding : json.at("findings"))
            if (finding.at("topic") == topic) return finding.at("state");
        return "not said";
    }
};

Report doctor(const std::string& config) {
    const Finished finished = run_program({DRUMWATCH_DAEMON, "doctor", config, "--json"}, kHang);
    return {finished.status, nlohmann::json::parse(finished.output)};
}

int exit_code_of(const std::string& worst) { return worst == "well" ? 0 : worst == "look" ? 1 : 2; }

}  // namespace

TEST_CASE("the doctor looks at a station before the daemon runs, and asks the daemon while it does") {
    TempDir folder;
    ChildProcess simulator({DRUMWATCH_SIM, "--truth", folder.file("truth.jsonl")});
    const std::string modbus = simulator.expect_line("modbus: ", kHang);
    const std::string config = write_station(folder, modbus.substr(modbus.rfind(':') + 1), free_port());

    const Report before = doctor(config);
    CHECK(before.status == exit_code_of(before.json.at("worst")));
    CHECK(before.state("configuration") == "well");
    CHECK(before.state("bus machine") == "well");
    CHECK(before.state("record") == "look");  // not there yet
    CHECK(before.state("page") == "look");    // loopback only

    ChildProcess daemon({DRUMWATCH_DAEMON, "run", config});
    daemon.expect_line("page: ", kHang);
    Report during = doctor(config);
    for (int i = 0; i < 100 && during.state("buses") == "look"; ++i)
        during = doctor(config);  // first reading
    CHECK(during.state("record") == "well");
    CHECK(during.state("page") == "well");
    CHECK(during.state("bus machine") == "not said");  // the device is the daemon's now
    CHECK(during.state("buses") == "well");
    daemon.send_signal(SIGTERM);
    CHECK(daemon.wait(kHang) == 0);

    simulator.terminate();
    const Report after = doctor(config);
    CHECK(after.status == 2);
    CHECK(after.json.at("worst") == "broken");
    CHECK(after.state("bus machine") == "broken");
}

TEST_CASE("the doctor says every mistake of a configuration, and still looks at the box") {
    TempDir folder;
    const std::string path = folder.file("station.json");
    std::ofstream(path) << R"({"station":"Test","limiter":"none stated","buses":[],"channels":[],"wat":1})";
    const Report report = doctor(path);
    CHECK(report.status == 2);
    CHECK(report.state("configuration") == "broken");
    CHECK(report.state("memory") != "not said");
    const Report missing = doctor(folder.file("none.json"));
    CHECK(missing.status == 2);
}

TEST_CASE("a user who may not look at the record is told so, and no bus is touched") {
    if (::geteuid() != 0) {
        MESSAGE("needs root to become somebody else");
        return;
    }
    TempDir folder;
    RawServer device([](RawServer::Connection&, const Bytes&) {});
    const std::string config = write_station(folder, std::to_string(device.port()), free_port(), "closed/");
    // Everybody may read the configuration and run the program, wherever it was built; the record's folder is
    // the daemon's own.
    const std::string program = folder.file("drumwatch");
    std::filesystem::copy_file(DRUMWATCH_DAEMON, program);
    std::filesystem::create_directory(folder.file("closed"));
    REQUIRE(::chmod(folder.file("closed").c_str(), 0700) == 0);
    REQUIRE(::chmod(folder.path().c_str(), 0711) == 0);
    const Finished finished = run_program(
        {"setpriv", "--reuid=65534", "--clear-groups", program, "doctor", config, "--json"}, kHang);
    REQUIRE_MESSAGE(!finished.output.empty(), finished.errors);
    const Report report{finished.status, nlohmann::json::parse(finished.output)};
    CHECK(report.state("record") == "look");
    CHECK(report.state("bus machine") == "not said");
    CHECK(device.connections() == 0);
}

TEST_CASE("the doctor's lines begin with what they are") {
    TempDir folder;
    const Finished finished =
        run_program({DRUMWATCH_DAEMON, "doctor", write_station(folder, "1", free_port())}, kHang);
    CHECK(finished.status == 2);
    CHECK(finished.output.find("\nbroken  bus machine: ") != std::string::npos);
    CHECK(finished.output.find("\n        what to do: ") != std::string::npos);
    CHECK(run_program({DRUMWATCH_DAEMON, "doctor"}, kHang).status == 2);
}
