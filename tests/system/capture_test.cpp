// `drumwatch run --capture` with the real daemon and the simulator: what is kept is what was on the links,
// and another station can play it.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <thread>

#include "finger.hpp"
#include "simulator_run.hpp"
#include "support/child_process.hpp"
#include "support/raw_server.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

using Json = nlohmann::json;

/// A configuration of these buses, channels and buttons.
std::string station_file(const TempDir& folder, const std::string& name, const std::string& buses,
                         const std::string& channels, const std::string& buttons = "") {
    const std::string path = folder.file(name + ".json");
    std::ofstream(path) << R"({"station":"Saltmarsh Mill","limiter":"none stated","web":{"port":0},)"
                        << R"("record":{"path":")" << name << R"(.sqlite"},"buses":[)" << buses
                        << R"(],"channels":[)" << channels << R"(],"buttons":[)" << buttons << "]}";
    return path;
}

struct Kept {
    std::string folder;
    std::string log;
};

/// Runs the daemon with a capture while something is done.
Kept capture_while(const std::string& config, const std::string& folder, const std::function<void()>& done,
                   const std::vector<std::string>& more = {}) {
    std::filesystem::create_directory(folder);
    std::vector<std::string> call{DRUMWATCH_DAEMON, "run", config, "--capture", folder};
    call.insert(call.end(), more.begin(), more.end());
    ChildProcess daemon(call);
    daemon.expect_line("page: ", kHang);
    done();
    daemon.send_signal(SIGTERM);
    REQUIRE(daemon.wait(kHang) == 0);
    return {folder, daemon.errors()};
}

/// The same for a while; gives the capture's folder.
std::string capture_of(const std::string& config, const std::string& folder, std::chrono::seconds how_long,
                       const std::vector<std::string>& more = {}) {
    return capture_while(
               config, folder, [&] { std::this_thread::sleep_for(how_long); }, more)
        .folder;
}

/// The file of that bus.
std::string file_of(const std::string& folder, const std::string& bus) {
    for (const auto& entry : std::filesystem::directory_iterator(folder))
        if (entry.path().filename().string().rfind(bus + "-", 0) == 0) return entry.path().string();
    FAIL("no capture of ", bus, " was made");
    return "";
}

std::vector<Json> lines_of(const std::string& path) {
    std::vector<Json> lines;
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);) lines.push_back(Json::parse(line));
    return lines;
}

/// The readings of one capture file, in their order: channel and value in thousandths.
std::vector<std::pair<std::string, int>> readings_in(const std::string& path) {
    std::vector<std::pair<std::string, int>> readings;
    for (const Json& line : lines_of(path)) {
        if (!line.contains("readings")) continue;
        for (const auto& one : line["readings"])
            if (one.contains("value_milli")) readings.emplace_back(one["channel"], one["value_milli"]);
    }
    return readings;
}

/// How often that discrete input went from off to on.
int presses_in(const std::string& path, std::size_t input) {
    int presses = 0;
    Json before;
    for (const Json& line : lines_of(path)) {
        if (!line.contains("link")) continue;
        const Json now = line.contains("inputs") ? line["inputs"].at(input) : Json();
        if (before == false && now == true) ++presses;
        before = now;
    }
    return presses;
}

int times_in(const std::string& text, const std::string& what) {
    int times = 0;
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++times;
    return times;
}

/// A daemon that was held up for a second skips what is old; nothing else may be missing, added or changed.
void played_again(const std::string& captured_file, const std::string& played_file) {
    const auto captured = readings_in(captured_file);
    const auto played = readings_in(played_file);
    CHECK(captured.size() > 10);
    auto at = captured.begin();
    for (const auto& reading : played) {
        at = std::find(at, captured.end(), reading);
        REQUIRE(at != captured.end());
        ++at;
    }
    CHECK(played.size() * 2 > captured.size());
}

std::string text_bus(const std::string& device) {
    return R"({"name":"line","kind":"serial_text","device":")" + device + R"("})";
}

std::string modbus_bus_at(const std::string& port) {
    return R"({"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":)" + port + "}";
}

std::string played_bus(const std::string& file) {
    return R"({"name":"line","kind":"playback","file":")" + file + R"("})";
}

const char* const kTextBean = R"({"name":"bean","bus":"line","unit":"°C","text":{"field":1}},)";
const char* const kTextExhaust = R"({"name":"exhaust","bus":"line","unit":"°C","text":{"field":2}})";

/// Whether the answer is one to that question, and what its first register holds (MODBUS Messaging on TCP/IP
/// V1.0b, 3.1.3; Application Protocol V1.1b3, 6.4).
int answered_register(const Bytes& question, const Bytes& answer) {
    REQUIRE(question.size() == 12);
    REQUIRE(answer.size() == 9u + 2u * question[11]);
    CHECK(std::equal(question.begin(), question.begin() + 2, answer.begin()));
    CHECK(question[7] == 4);
    CHECK(answer[7] == 4);
    return answer[9] * 256 + answer[10];
}

}  // namespace

TEST_CASE("a capture of a real run, played back by another station, gives the same readings in their order") {
    Simulator machine({"--serial"});
    const std::string serial = machine.process.expect_line("serial: ", kHang);
    TempDir folder;
    const std::string real =
        station_file(folder, "real", text_bus(serial), std::string(kTextBean) + kTextExhaust);
    const std::string first = file_of(capture_of(real, folder.file("first"), 3s), "line");
    const std::string played = station_file(folder, "played", played_bus(first),
                                            R"({"name":"exhaust","bus":"line","unit":"°C"},)"
                                            R"({"name":"bean","bus":"line","unit":"°C"})");
    played_again(first, file_of(capture_of(played, folder.file("second"), 4s), "line"));
}

TEST_CASE("with their bytes, each reading of a real run is the one that its bytes hold") {
    Simulator machine({"--serial"});
    const std::string serial = machine.process.expect_line("serial: ", kHang);
    TempDir folder;
    const std::string bean =
        R"({"name":"bean","bus":"machine","unit":"°C","scale":0.1,"modbus":{"table":"input","address":0}},)";
    const std::string both = station_file(
        folder, "both", modbus_bus_at(machine.port()) + "," + text_bus(serial), bean + kTextExhaust);
    const std::string kept = capture_of(both, folder.file("kept"), 3s, {"--capture-bytes"});

    Bytes question;
    Bytes answer;
    int polls = 0;
    for (const Json& line : lines_of(file_of(kept, "machine"))) {
        if (line.contains("sent")) question = from_hex(line["sent"].get<std::string>());
        if (line.contains("received")) answer = from_hex(line["received"].get<std::string>());
        if (!line.contains("readings")) continue;
        REQUIRE(line["readings"].size() == 1);
        CHECK(line["readings"][0]["registers"][0] == answered_register(question, answer));
        ++polls;
    }
    CHECK(polls > 5);

    std::string came;
    int fields = 0;
    for (const Json& line : lines_of(file_of(kept, "line"))) {
        CHECK(!line.contains("sent"));
        if (line.contains("received"))
            for (const std::uint8_t byte : from_hex(line["received"].get<std::string>()))
                came += static_cast<char>(byte);
        if (!line.contains("readings") || line["readings"].empty()) continue;
        const std::string text = line["readings"][0]["text"];
        CHECK_MESSAGE(came.find("," + text) != std::string::npos, text);
        ++fields;
    }
    CHECK(fields > 5);

    const std::string played = station_file(folder, "played", played_bus(file_of(kept, "machine")),
                                            R"({"name":"bean","bus":"line","unit":"°C"})");
    played_again(file_of(kept, "machine"), file_of(capture_of(played, folder.file("again"), 4s), "line"));
}

TEST_CASE("buttons on a bus are captured, and pressed again when the capture is played") {
    Simulator machine;
    TempDir folder;
    const std::string button = R"({"meaning":"move_done","name":"green","bus":"machine","discrete_input":1},)"
                               R"({"meaning":"silence","name":"red","bus":"machine","discrete_input":2})";
    const std::string live = station_file(
        folder, "live", modbus_bus_at(machine.port()),
        R"({"name":"bean","bus":"machine","unit":"°C","scale":0.1,"modbus":{"table":"input","address":0}})",
        button);
    const Kept first = capture_while(live, folder.file("first"), [&] {
        Finger finger(static_cast<std::uint16_t>(std::stoi(machine.port())));
        for (const bool down : {false, true, false, true, false}) {
            finger.press(1, down);
            std::this_thread::sleep_for(1s);
        }
    });
    const int pressed = times_in(first.log, "button \"green\"");
    CHECK(pressed == 2);
    CHECK(times_in(first.log, "button \"red\"") == 0);
    const std::string file = file_of(first.folder, "machine");
    CHECK(presses_in(file, 0) == pressed);
    CHECK(presses_in(file, 1) == 0);

    std::string bus = played_bus(file);
    bus.replace(bus.find("line"), 4, "machine");
    const std::string again =
        station_file(folder, "again", bus, R"({"name":"bean","bus":"machine","unit":"°C"})", button);
    const Kept second = capture_while(again, folder.file("second"), [] { std::this_thread::sleep_for(6s); });
    CHECK(times_in(second.log, "button \"green\"") == pressed);
    CHECK(times_in(second.log, "button \"red\"") == 0);
    CHECK(presses_in(file_of(second.folder, "machine"), 0) == pressed);
}

TEST_CASE("a capture that can't be made is refused at the start, and bytes without one at once") {
    Simulator machine;
    TempDir folder;
    const std::string config = station_file(
        folder, "any", modbus_bus_at(machine.port()),
        R"({"name":"bean","bus":"machine","unit":"°C","scale":0.1,"modbus":{"table":"input","address":0}})");
    const auto refused =
        run_program({DRUMWATCH_DAEMON, "run", config, "--capture", folder.file("no/such/folder")}, kHang);
    CHECK(refused.status == 1);
    CHECK(refused.errors.find("--capture: ") != std::string::npos);
    CHECK(refused.errors.find("name a folder") != std::string::npos);
    const auto alone = run_program({DRUMWATCH_DAEMON, "run", config, "--capture-bytes"}, kHang);
    CHECK(alone.status == 2);
    CHECK(alone.errors.find("--capture-bytes requires --capture") != std::string::npos);
}
