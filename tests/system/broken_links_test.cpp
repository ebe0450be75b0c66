// Links, disks and clients that break while the daemon watches: it says so plainly, makes nothing up, goes
// on, and is well again when they are. Times are the daemon's own; a deadline only stops a hang.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sys/mount.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "record/reader.hpp"
#include "support/child_process.hpp"
#include "support/raw_client.hpp"
#include "support/rtu_slave.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;
using nlohmann::json;

namespace {

constexpr auto kHang = 120s;

std::string modbus_bus(const std::string& port, const std::string& host = "127.0.0.1") {
    return R"({"name":"machine","kind":"modbus_tcp","host":")" + host + R"(","port":)" + port + "}";
}
/// A loopback address of this test's own: a port that is left and taken again there is nobody else's
/// meanwhile.
std::string own_address() {
    const int pid = static_cast<int>(getpid());
    return "127." + std::to_string(1 + pid / 250 % 250) + "." + std::to_string(1 + pid % 250) + ".7";
}
const char* const kModbusBean =
    R"({"name":"bean","bus":"machine","unit":"°C","scale":0.1,"modbus":{"table":"input","address":0,"type":"int16"}})";

std::string station(const std::string& bus, const std::string& channel, const std::string& record) {
    return R"({"station":"Test station","limiter":"none stated","simulated":{"speed":4},"buses":[)" + bus +
           "],\"channels\":[" + channel + R"(],"record":{"path":")" + record + R"("},"web":{"port":0}})";
}

/// A daemon and what its page would know.
class Watched {
  public:
    Watched(const std::string& config_path, const std::string& text) {
        std::ofstream(config_path) << text;
        daemon_.emplace(std::vector<std::string>{DRUMWATCH_DAEMON, "run", config_path});
        const std::string page = daemon_->expect_line("page: ", kHang);
        const std::string port = page.substr(page.rfind(':') + 1);
        port_ = static_cast<std::uint16_t>(std::stoi(port));
    }
    std::uint16_t port() const { return port_; }
    json status() const {
        RawClient client(port_);
        const RawResponse response = client.get("/api/status");
        return response.status == 200 ? json::parse(response.body) : json();
    }
    /// Polls the status until it is so; the newest status.
    template <typename Condition>
    json until(const char* what, Condition condition) {
        const auto give_up = std::chrono::steady_clock::now() + kHang;
        for (;;) {
            json now = status();
            if (!now.is_null() && condition(now)) return now;
            REQUIRE_MESSAGE(std::chrono::steady_clock::now() < give_up, what, " never came: ", now.dump());
            REQUIRE_MESSAGE(daemon_->running(), daemon_->errors());
            std::this_thread::sleep_for(20ms);  // between looks; the loop ends by what it finds
        }
    }
    RawResponse post(const std::string& path, const std::string& body) const {
        RawClient client(port_);
        return client.post(path, body);
    }
    std::string end() {
        daemon_->send_signal(SIGTERM);
        const auto status = daemon_->wait(kHang);
        REQUIRE(status);
        CHECK_MESSAGE(*status == 0, daemon_->errors());
        return daemon_->errors();
    }

  private:
    std::optional<ChildProcess> daemon_;
    std::uint16_t port_ = 0;
};

bool alarmed(const json& status, const std::string& rule) {
    for (const json& alarm : status["alarms"]) {
        if (alarm["rule"] == rule) return true;
    }
    return false;
}
bool reads_bean(const json& status) { return status["channels"]["bean"]["value"].is_number(); }

std::size_t times_in(const std::string& text, const std::string& part) {
    std::size_t times = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++times;
    return times;
}

RoastRecord roast_of(const std::string& record, std::uint64_t id) {
    const auto reader = RecordReader::open(record);
    REQUIRE_MESSAGE(reader.ok(), (reader.ok() ? "" : reader.error()));
    const auto roast = reader.value()->roast(id);
    REQUIRE(roast.value());
    return *roast.value();
}

}  // namespace

TEST_CASE("the Modbus server dies and comes back: a dash, an alarm, and readings again") {
    TempDir folder;
    const std::vector<std::string> machine = {DRUMWATCH_SIM, "--host", own_address(), "--speed", "4",
                                              "--seed",      "3"};
    std::optional<ChildProcess> simulator(machine);
    const std::string address = simulator->expect_line("modbus: ", kHang);
    const std::string port = address.substr(address.rfind(':') + 1);
    Watched daemon(folder.file("station.json"),
                   station(modbus_bus(port, own_address()), kModbusBean, folder.file("record.sqlite")));
    daemon.until("a reading", reads_bean);
    simulator->kill();
    simulator.reset();
    const json dead = daemon.until("the alarm, and the quality", [](const json& now) {
        return alarmed(now, "bus_silent") && now["channels"]["bean"]["quality"] == "bus_silent";
    });
    CHECK(dead["channels"]["bean"]["value"].is_null());

    std::vector<std::string> again = machine;
    again.insert(again.end(), {"--port", port});
    simulator.emplace(again);
    simulator->expect_line("modbus: ", kHang);
    daemon.until("a reading again", reads_bean);
    daemon.until("the alarm's end",
                 [](const json& now) { return now["channels"]["bean"]["quality"] == "good"; });
    daemon.end();
}

TEST_CASE("a serial device that is not there yet is waited for, and read when it is plugged in") {
    TempDir folder;
    const std::string device = folder.file("logger");
    Watched daemon(
        folder.file("station.json"),
        station(R"({"name":"machine","kind":"serial_text","device":")" + device + R"(","baud":115200})",
                R"({"name":"bean","bus":"machine","unit":"°C","text":{"field":1,"open_text":"---"}})",
                folder.file("record.sqlite")));
    const json absent = daemon.until("the alarm", [](const json& now) { return alarmed(now, "bus_silent"); });
    CHECK_FALSE(reads_bean(absent));
    ChildProcess simulator({DRUMWATCH_SIM, "--speed", "4", "--serial", "--serial-link", device});
    daemon.until("a reading", reads_bean);
    daemon.end();
}

TEST_CASE("a dead unit of a serial line sounds its probe's alarm while the others are read") {
    std::atomic<bool> bean_dead = false;
    std::atomic<bool> all_dead = false;
    RtuSlave line([&](RtuSlave::Line& wire, const Bytes& request) {
        if (all_dead || (bean_dead && request[0] == 1)) return;
        wire.send(rtu_answer(request, 2053));
    });
    const auto probe = [](const char* name, int unit) {
        return fmt::format(R"({{"name":"{}","bus":"line","unit":"°C","scale":0.1,)"
                           R"("modbus":{{"table":"input","address":0,"unit_id":{}}}}})",
                           name, unit);
    };
    TempDir folder;
    Watched daemon(folder.file("station.json"),
                   station(R"({"name":"line","kind":"modbus_rtu","device":")" + line.path() + "\"}",
                           probe("bean", 1) + "," + probe("exhaust", 2), folder.file("record.sqlite")));
    daemon.until("a reading", reads_bean);
    bean_dead = true;
    const json fault =
        daemon.until("the probe's alarm", [](const json& now) { return alarmed(now, "bean_probe_fault"); });
    CHECK(fault["channels"]["bean"]["quality"] == "bad_reply");
    CHECK(fault["channels"]["exhaust"]["quality"] == "good");
    CHECK_FALSE(alarmed(fault, "bus_silent"));
    const std::string unit = "bus line, unit 1 (bean)";
    const std::string why = unit + ": The device does not answer. Does it have power,";
    const auto told = [&](const json& now) {
        return now["links"].size() == 1 && now["links"][0].get<std::string>().starts_with(why);
    };
    daemon.until("where to look", told);
    all_dead = true;
    daemon.until("the bus's alarm", [](const json& now) { return alarmed(now, "bus_silent"); });
    all_dead = false;
    bean_dead = false;
    daemon.until("a reading again", reads_bean);
    daemon.until("no trouble", [](const json& now) { return now["links"].empty(); });
    const std::string log = daemon.end();
    CHECK(times_in(log, why) == 1);
    CHECK(times_in(log, unit + " answers again") == 1);
    CHECK(times_in(log, "unit 2") == 0);
}

TEST_CASE("a drop that was answered just before the stop is recorded as a drop") {
    for (int i = 0; i < 5; ++i) {
        CAPTURE(i);
        TempDir folder;
        const std::string record = folder.file("record.sqlite");
        Watched daemon(folder.file("station.json"), station(modbus_bus("1"), kModbusBean, record));
        daemon.until("a tick", [](const json&) { return true; });
        CHECK(daemon.post("/api/marks", R"({"client_id":"a","mark":"charge"})").status == 200);
        daemon.until("the roast", [](const json& now) { return !now["roast"].is_null(); });
        CHECK(daemon.post("/api/marks", R"({"client_id":"b","mark":"drop"})").status == 200);
        daemon.end();
        const RoastRecord roast = roast_of(record, 1);
        CHECK(roast.state == RoastState::finished);
        REQUIRE(roast.verdict);
        CHECK(roast.verdict->disposition == Disposition::unjudged);
    }
}

TEST_CASE("a stop in each phase ends cleanly and says the truth about the roast") {
    const std::vector<std::pair<std::vector<std::string>, RoastState>> phases = {
        {{"charge"}, RoastState::interrupted},
        {{"charge", "first_crack"}, RoastState::interrupted},
        {{"charge", "first_crack", "drop"}, RoastState::finished}};
    for (const auto& [marks, state] : phases) {
        TempDir folder;
        const std::string record = folder.file("record.sqlite");
        Watched daemon(folder.file("station.json"), station(modbus_bus("1"), kModbusBean, record));
        for (const std::string& mark : marks) {
            daemon.until("a tick", [](const json&) { return true; });
            const auto before = daemon.status()["sequence"].get<std::int64_t>();
            daemon.until("the next tick", [&](const json& now) { return now["sequence"] > before; });
            CHECK(daemon.post("/api/marks", json{{"client_id", mark}, {"mark", mark}}.dump()).status == 200);
        }
        daemon.end();
        CHECK(roast_of(record, 1).state == state);
    }
}

TEST_CASE("a client id sent twice acts once") {
    TempDir folder;
    const std::string record = folder.file("record.sqlite");
    Watched daemon(folder.file("station.json"), station(modbus_bus("1"), kModbusBean, record));
    daemon.until("a tick", [](const json&) { return true; });
    const std::string charge = R"({"client_id":"tablet-1-1","mark":"charge"})";
    CHECK(daemon.post("/api/marks", charge).status == 200);
    daemon.until("the roast", [](const json& now) { return !now["roast"].is_null(); });
    CHECK(daemon.post("/api/roast/not-a-charge", R"({"client_id":"tablet-1-2"})").status == 200);
    CHECK(daemon.post("/api/marks", charge).status == 200);  // a late retry: the first answer, no new roast
    daemon.end();
    const auto reader = RecordReader::open(record);
    CHECK(reader.value()->roasts(10, 0).value().size() == 1);
}

TEST_CASE("garbage over HTTP is refused, and the ticks go on") {
    TempDir folder;
    Watched daemon(folder.file("station.json"),
                   station(modbus_bus("1"), kModbusBean, folder.file("record.sqlite")));
    const json begun = daemon.until("a tick", [](const json&) { return true; });
    const auto first = begun["sequence"].get<std::int64_t>();
    const std::vector<std::string> garbage = {
        "\x16\x03\x01\x02",
        std::string(70'000, 'A'),
        "GET / HTTP/1.1\r\n\r\n",
        "POST /api/marks HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99999999999\r\n\r\n",
        "GET /../../etc/passwd HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
        std::string("\0\0\0\0", 4)};
    for (std::size_t i = 0; i < 20 * garbage.size(); ++i) {
        RawClient client(daemon.port(), "127.0.0.9");  // another tablet than the one that asks
        client.send(garbage[i % garbage.size()]);
        REQUIRE_MESSAGE(!daemon.status().is_null(), "no answer after garbage");
    }
    daemon.until("more ticks", [&](const json& now) { return now["sequence"] >= first + 8; });
    CHECK(daemon.status()["roast"].is_null());
    daemon.end();
}

TEST_CASE("a full disk: the page says so and goes on, and what waited is written when there is room") {
    TempDir folder;
    const std::string disk = folder.file("disk");
    std::filesystem::create_directory(disk);
    if (mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=2m") != 0) {
        MESSAGE("no right to mount here: the failing disk is tried in tests/faults only");
        return;
    }
    {
        Watched daemon(folder.file("station.json"),
                       station(modbus_bus("1"), kModbusBean, disk + "/record.sqlite"));
        daemon.until("a tick", [](const json&) { return true; });
        std::ofstream filler(disk + "/filler", std::ios::binary);
        while (filler.write(std::string(4096, 'x').data(), 4096).flush()) continue;
        filler.close();
        CHECK(daemon.post("/api/marks", R"({"client_id":"a","mark":"charge"})").status == 202);
        const json full =
            daemon.until("the alarm", [](const json& now) { return alarmed(now, "record_failing"); });
        CHECK(full["record"]["writing"] == false);
        CHECK_FALSE(full["roast"].is_null());
        std::filesystem::remove(disk + "/filler");
        daemon.until("writing again", [](const json& now) { return now["record"]["writing"] == true; });
        daemon.end();
        CHECK(roast_of(disk + "/record.sqlite", 1).state == RoastState::interrupted);
    }
    umount(disk.c_str());
}
