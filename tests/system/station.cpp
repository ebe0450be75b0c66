#include "station.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

namespace drumwatch {

using namespace std::chrono_literals;

namespace {

constexpr auto kHang = 240s;  // only to stop a hang

std::string channel(const char* name, const char* bus, const char* unit, const char* table, int address) {
    return fmt::format(
        R"({{"name":"{}","bus":"{}","unit":"{}","scale":0.1,"modbus":{{"table":"{}","address":{},"type":"{}"{}}}}})",
        name, bus, unit, table, address, table[0] == 'i' ? "int16" : "uint16",
        table[0] == 'i' ? R"(,"open_raw":32767)" : "");
}

std::string bean_by_serial() {
    return R"({"name":"bean","bus":"logger","unit":"°C","text":{"field":1,"open_text":"---"}})";
}

std::vector<Truth> read_truth(const std::string& path) {
    std::vector<Truth> lines;
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);) {
        const auto json = nlohmann::json::parse(line, nullptr, false);
        if (json.is_discarded()) continue;  // the line that is being written
        lines.push_back({json.at("event"), json.at("sim_ms"), json.value("batch", 0), line});
    }
    return lines;
}

}  // namespace

void StationRun::edit_target() {
    const std::string target = folder_.file("target.json");
    std::vector<std::string> arguments = {DRUMWATCH_DAEMON, "target", "edit",          target,
                                          "--out",          target,   "--approved-by", "A. Taster"};
    arguments.insert(arguments.end(), plan_.target_edits.begin(), plan_.target_edits.end());
    const auto edited = run_program(arguments, kHang);
    REQUIRE_MESSAGE(edited.status == 0, edited.errors);
}

StationRun::StationRun(const StationPlan& plan) : plan_(plan) {
    const auto exported = run_program({DRUMWATCH_SIM, "--machine", plan.machine, "--export-target",
                                       folder_.file("target.json"), "--approved-by", "A. Taster"},
                                      kHang);
    REQUIRE_MESSAGE(exported.status == 0, exported.errors);
    if (!plan.target_edits.empty()) edit_target();

    std::vector<std::string> arguments = {DRUMWATCH_SIM, "--machine", plan.machine, "--truth",
                                          folder_.file("truth.jsonl")};
    const auto time = plan.stepped ? std::vector<std::string>{"--stepped", "250"}
                                   : std::vector<std::string>{"--speed", fmt::format("{}", plan.speed)};
    arguments.insert(arguments.end(), time.begin(), time.end());
    arguments.insert(arguments.end(), plan.simulator.begin(), plan.simulator.end());
    if (plan.serial_bean) arguments.push_back("--serial");
    simulator_.emplace(arguments);
    const std::string modbus = simulator_->expect_line("modbus: ", kHang);
    const std::string serial = plan.serial_bean ? simulator_->expect_line("serial: ", kHang) : "";
    std::string relay;
    if (plan.relay_board) {
        relay_.emplace(std::vector<std::string>{DRUMWATCH_SIM, "--truth", folder_.file("relay.jsonl"),
                                                "--speed", fmt::format("{}", plan.speed)});
        relay = relay_->expect_line("modbus: ", kHang);
    }
    machine_port_ = static_cast<std::uint16_t>(std::stoi(modbus.substr(modbus.rfind(':') + 1)));
    config_ = write_config(modbus.substr(modbus.rfind(':') + 1), serial, relay.substr(relay.rfind(':') + 1));
    start_daemon();
}

void StationRun::start_daemon() {
    daemon_.emplace(std::vector<std::string>{DRUMWATCH_DAEMON, "run", config_}, plan_.daemon_environment);
    const std::string page = daemon_->expect_line("page: ", kHang);
    port_ = static_cast<std::uint16_t>(std::stoi(page.substr(page.rfind(':') + 1)));
}

std::string StationRun::kill_and_restart(const std::string& also) {
    daemon_->kill();
    daemon_.reset();
    if (!also.empty()) {
        std::ifstream old(config_);
        const std::string text((std::istreambuf_iterator<char>(old)), {});
        std::ofstream(config_) << also << text;
    }
    start_daemon();
    return daemon_->errors();
}

std::string StationRun::stop_and_restart(const std::function<void()>& between) {
    daemon_->send_signal(SIGTERM);
    const auto status = daemon_->wait(kHang);
    REQUIRE(status);
    CHECK_MESSAGE(*status == 0, daemon_->errors());
    daemon_.reset();
    if (between) between();
    start_daemon();
    return daemon_->errors();
}

std::string StationRun::write_config(const std::string& port, const std::string& serial,
                                     const std::string& relay_port) {
    const std::string path = folder_.file("station.json");
    std::ofstream file(path);
    const std::string simulated =
        plan_.stepped ? R"({"stepped":true})" : fmt::format(R"({{"speed":{}}})", plan_.speed);
    file << R"({"station":"Test station","machine":"simulated","tick_ms":250,)";
    if (plan_.own_time) file << R"("simulated":)" << simulated << ",";
    file << fmt::format(
        R"("buses":[{{"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":{},{}"timeout_ms":600}})",
        port, plan_.own_time ? R"("time_register":3,)" : "");
    if (plan_.serial_bean) {
        file << fmt::format(
            R"(,{{"name":"logger","kind":"serial_text","device":"{}","baud":115200,"timeout_ms":4000}})",
            serial);
    }
    if (plan_.relay_board) {
        file << fmt::format(R"(,{{"name":"relays","kind":"modbus_tcp","host":"127.0.0.1","port":{}}})",
                            relay_port);
    }
    file << "],\"channels\":["
         << (plan_.serial_bean ? bean_by_serial() : channel("bean", "machine", "°C", "input", 0));
    file << "," << channel("exhaust", "machine", "°C", "input", 1) << ","
         << channel("tray", "machine", "°C", "input", 4);
    file << "," << channel("burner", "machine", "%", "holding", 0) << ","
         << channel("airflow", "machine", "%", "holding", 1);
    // A bus needs a channel of its own to be polled; the relay board's drum probe is as good as any.
    if (plan_.relay_board) file << "," << channel("relay_board", "relays", "°C", "input", 3);
    const char* outputs = plan_.relay_board ? "relays" : "machine";
    if (plan_.sounders.empty())
        file << fmt::format(R"(],"sounder":{{"bus":"{}","coil":0}},)", outputs);
    else
        file << R"(],"sounders":)" << plan_.sounders << ",";
    file << fmt::format(R"("heartbeat":{{"bus":"{}","coil":1}},"chirp_at_start":{},"buttons":{},)", outputs,
                        plan_.chirp_at_start, plan_.buttons);
    file << R"("limiter":"none stated","alarms":)" << plan_.alarms << ",";
    file << fmt::format(R"("record":{{"path":"{}"}},"web":{{"port":0}})", record_path());
    if (plan_.with_target) {
        std::ifstream target(folder_.file("target.json"));
        const std::string name = nlohmann::json::parse(target).at("name");
        file << R"(,"targets":["target.json"],"target":)" << nlohmann::json(name).dump();
    }
    file << "}";
    return path;
}

void StationRun::to_the_end() {
    const auto status = simulator_->wait(kHang);
    REQUIRE_MESSAGE(status, "the simulator did not end");
    CHECK(*status == 0);
    stop();
}

void StationRun::await_truth(const std::string& event, const std::string& part, bool relay) {
    const auto give_up = std::chrono::steady_clock::now() + kHang;
    const auto is_it = [&](const Truth& line) {
        return line.event == event && line.detail.find(part) != std::string::npos;
    };
    for (;;) {
        const auto lines = truth(relay);
        if (std::any_of(lines.begin(), lines.end(), is_it)) return;
        REQUIRE_MESSAGE(std::chrono::steady_clock::now() < give_up, "no ", event, " ", part, " came");
        REQUIRE_MESSAGE(daemon_->running(), "the daemon ended: ", daemon_->errors());
        std::this_thread::sleep_for(20ms);  // between looks at a file; the loop ends by what it finds
    }
}

void StationRun::stop() {
    if (daemon_) {
        daemon_->send_signal(SIGTERM);
        const auto status = daemon_->wait(kHang);
        REQUIRE_MESSAGE(status, "the daemon did not end");
        CHECK_MESSAGE(*status == 0, daemon_->errors());
        log_ = daemon_->errors();
    }
    daemon_.reset();
    relay_.reset();
    simulator_.reset();
    check_reruns();
}

void StationRun::check_reruns() const {
    const auto reader = RecordReader::open(record_path());
    REQUIRE(reader);
    for (std::uint64_t watch = 1; reader.value()->watch(watch).value(); ++watch) {
        const std::string number = std::to_string(watch);
        const std::string file = folder_.file("watch-" + number + ".jsonl.gz");
        const Finished again =
            run_program({DRUMWATCH_DAEMON, "rerun", record_path(), "--watch", number}, kHang);
        CHECK_MESSAGE(again.status == 0, again.output, again.errors);
        const Finished exported =
            run_program({DRUMWATCH_DAEMON, "export", record_path(), "--watch", number, "--out", file}, kHang);
        CHECK_MESSAGE(exported.status == 0, exported.errors);
        const Finished elsewhere = run_program({DRUMWATCH_DAEMON, "rerun", file}, kHang);
        CHECK_MESSAGE(elsewhere.status == 0, elsewhere.output, elsewhere.errors);
        CHECK(elsewhere.output == again.output);
    }
}

void StationRun::check_export_spares_others() const {
    const auto exported = [&](const std::string& out) {
        return run_program({DRUMWATCH_DAEMON, "export", record_path(), "--roast", "1", "--out", out}, kHang);
    };
    const std::string csv = folder_.file("once.csv");
    CHECK(exported(csv).status == 0);
    CHECK(exported(csv).status == 0);
    const auto over_target = exported(folder_.file("target.json"));
    CHECK(over_target.status == 1);
    CHECK_MESSAGE(over_target.errors.find("is not written over") != std::string::npos, over_target.errors);
}

std::string StationRun::rerun_of_export(std::uint64_t id) const {
    const std::string csv = folder_.file("roast.csv");
    const Finished exported = run_program(
        {DRUMWATCH_DAEMON, "export", record_path(), "--roast", std::to_string(id), "--out", csv}, kHang);
    REQUIRE_MESSAGE(exported.status == 0, exported.errors);
    const Finished again = run_program(
        {DRUMWATCH_DAEMON, "rerun", csv, "--target", folder_.file("target.json"), "--json"}, kHang);
    REQUIRE_MESSAGE(again.status == 0, again.errors);
    return again.output;
}

std::vector<std::string> StationRun::show_arguments(std::uint64_t watch,
                                                    const std::vector<std::string>& options) const {
    std::vector<std::string> arguments = {DRUMWATCH_DAEMON,      "rerun",       record_path(), "--watch",
                                          std::to_string(watch), "--live-speed"};
    arguments.insert(arguments.end(), options.begin(), options.end());
    return arguments;
}

std::vector<Truth> StationRun::truth(bool relay) const {
    return read_truth(folder_.file(relay ? "relay.jsonl" : "truth.jsonl"));
}

Truth StationRun::first(const std::string& event, int batch) const {
    for (const Truth& line : truth()) {
        if (line.event == event && line.batch == batch) return line;
    }
    FAIL("the simulator tells of no ", event, " of batch ", batch);
    return {};
}

RoastRecord StationRun::roast(std::uint64_t id) const {
    const auto reader = RecordReader::open(record_path());
    REQUIRE_MESSAGE(reader, reader.error());
    const auto roast = reader.value()->roast(id);
    REQUIRE(roast);
    REQUIRE_MESSAGE(roast.value(), "roast ", id, " is not in the record");
    return *roast.value();
}

std::size_t StationRun::roasts() const {
    const auto reader = RecordReader::open(record_path());
    REQUIRE_MESSAGE(reader, reader.error());
    const auto roasts = reader.value()->roasts(1000, 0);
    REQUIRE(roasts);
    return roasts.value().size();
}

std::vector<Frame> StationRun::frames(std::uint64_t watch) const {
    const auto reader = RecordReader::open(record_path());
    REQUIRE(reader);
    auto frames = reader.value()->frames(watch, Tick{0}, Tick{std::int64_t{1} << 40});
    REQUIRE(frames);
    return frames.value();
}

std::vector<EventRow> StationRun::events() const {
    const auto reader = RecordReader::open(record_path());
    REQUIRE(reader);
    auto events = reader.value()->events(1, Tick{0}, Tick{std::int64_t{1} << 40});
    REQUIRE(events);
    return events.value();
}

}  // namespace drumwatch
