// How long the whole daemon takes from its start to its first frame on the page, with a record of 20,000
// roasts beside one of ten. Run by hand; prints milliseconds of this machine and ratios. `bench_first_frame
// [ROASTS]`
//
// A station with 5 channels at a simulated machine in real time, 10 ticks a second so that the wait for the
// grid is short, and a target whose coffee all the recorded roasts are of, so that they are learnt from. Each
// start follows a clean stop. Once with the record in the page cache, and once with it put out of it, as
// after a power cut; the program itself is in the cache.
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>
#include <vector>

#include "filled_record.hpp"
#include "support/child_process.hpp"
#include "support/raw_client.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;
using namespace std::chrono_literals;

constexpr int kTimes = 15;
constexpr auto kHang = 60s;

void write_config(const std::string& path, const std::string& port, const std::string& record) {
    const auto channel = [](const char* name, const char* unit, const char* table, int address) {
        return fmt::format(
            R"({{"name":"{}","bus":"machine","unit":"{}","scale":0.1,"modbus":{{"table":"{}","address":{},"type":"int16"}}}})",
            name, unit, table, address);
    };
    std::ofstream(path) << R"({"station":"Saltmarsh Mill","limiter":"none stated","tick_ms":100,"buses":[)"
                        << R"({"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":)" << port
                        << R"(}],"channels":[)" << channel("bean", "°C", "input", 0) << ","
                        << channel("exhaust", "°C", "input", 1) << "," << channel("tray", "°C", "input", 4)
                        << "," << channel("burner", "%", "holding", 0) << ","
                        << channel("airflow", "%", "holding", 1) << R"(],"record":{"path":")" << record
                        << R"("},"web":{"port":0},"targets":["target.json"]})";
}

/// From the start of the program until its status shows a frame, milliseconds.
double ms_to_first_frame(const std::string& config) {
    const auto from = Clock::now();
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", config});
    const std::string page = daemon.expect_line("page: ", kHang);
    const auto port = static_cast<std::uint16_t>(std::stoi(page.substr(page.rfind(':') + 1)));
    for (;;) {
        const RawResponse status = RawClient(port).get("/api/status");
        if (status.status == 200 && status.body.find("\"sequence\":") != std::string::npos) break;
        if (Clock::now() - from > kHang) give_up("no frame came: " + daemon.errors());
        std::this_thread::sleep_for(1ms);
    }
    const double took = std::chrono::duration<double, std::milli>(Clock::now() - from).count();
    daemon.send_signal(SIGTERM);
    if (daemon.wait(kHang) != 0) give_up("no clean stop: " + daemon.errors());
    return took;
}

void put_out_of_cache(const std::string& path) {
    const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0 || fsync(file) != 0 || posix_fadvise(file, 0, 0, POSIX_FADV_DONTNEED) != 0) {
        give_up(path + " can't be put out of the cache");
    }
    close(file);
}

struct Station {
    std::string config;
    std::string record;
    std::array<std::vector<double>, 2> took;  ///< in the cache, and not
};

void first_frames(std::uint64_t roasts) {
    const TempDir folder;
    ChildProcess simulator({DRUMWATCH_SIM, "--seed", "11"});
    const std::string address = simulator.expect_line("modbus: ", kHang);
    if (run_program(
            {DRUMWATCH_SIM, "--export-target", folder.file("target.json"), "--approved-by", "A. Taster"},
            kHang)
            .status != 0) {
        give_up("no target");
    }
    std::array<Station, 2> stations;
    for (std::size_t i = 0; i < 2; ++i) {
        Station& station = stations[i];
        station.record = folder.file(i == 0 ? "few.db" : "many.db");
        station.config = folder.file(i == 0 ? "few.json" : "many.json");
        fill(station.record, i == 0 ? 10 : roasts);
        write_config(station.config, address.substr(address.rfind(':') + 1), station.record);
        ms_to_first_frame(station.config);  // so that the newest watch is a daemon's own
    }
    for (int i = 0; i < kTimes; ++i) {
        for (Station& station : stations) {
            station.took[0].push_back(ms_to_first_frame(station.config));
            put_out_of_cache(station.record);
            station.took[1].push_back(ms_to_first_frame(station.config));
        }
    }
    for (std::size_t cold = 0; cold < 2; ++cold) {
        const double few = median(stations[0].took[cold]);
        const double many = median(stations[1].took[cold]);
        fmt::print(
            "first frame, record {} the page cache: {:.0f} ms with 10 roasts, {:.0f} ms with {}, ratio "
            "{:.2f} (medians of {})\n",
            cold == 0 ? "in" : "not in", few, many, roasts, many / few, kTimes);
    }
    fmt::print("the record: {:.0f} MB\n",
               static_cast<double>(std::filesystem::file_size(stations[1].record)) / 1e6);
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    drumwatch::first_frames(argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 20'000);
}
