#include "support/timed_station.hpp"

#include <chrono>
#include <filesystem>
#include <fstream>
#include <vector>

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

constexpr auto kHang = 60s;  // only stops a hang
constexpr const char* kButton =
    R"({"meaning":"acknowledge","name":"green","bus":"machine","discrete_input":0})";

}  // namespace

TimedStation::TimedStation(TimedStationPlan plan)
    : plan_(std::move(plan)), records_(folder_.file("records")), slave_(plan_.answers_after) {
    std::filesystem::create_directory(records_);
    slave_.set_bean(kCool);
    const std::string delay_s = std::to_string(plan_.on_delay_ms / 1000.0);
    std::ofstream(folder_.file("station.json"))
        << R"({"station":"Saltmarsh Mill","limiter":"none stated","tick_ms":)" << kTick_ms
        << R"(,"chirp_at_start":false,
"buses":[{"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":)"
        << slave_.port() << R"(}],
"channels":[{"name":"bean","bus":"machine","unit":"°C","scale":0.1,
  "modbus":{"table":"input","address":0,"type":"int16"}}],
"sounder":{"bus":"machine","coil":0},"heartbeat":{"bus":"machine","coil":1},
"buttons":[)"
        << (plan_.button ? kButton : "") << R"(],
"alarms":{"bean_high_high":{"limit_c":240,"deadband_c":0.5,"off_delay_s":0,"on_delay_s":)"
        << delay_s << R"(,"latches":)" << (plan_.latches ? "true" : "false") << R"(}},
"record":{"path":")"
        << record() << R"("},"web":{"port":0}})";
    start();
}

void TimedStation::start() {
    std::vector<std::string> environment;
    if (!plan_.stalled_disk_calls.empty())
        environment = {"LD_PRELOAD=" + plan_.stalled_disk_calls, "DRUMWATCH_TEST_STALLED=" + records_,
                       "ASAN_OPTIONS=verify_asan_link_order=0"};
    daemon_.emplace(std::vector<std::string>{plan_.daemon, "run", folder_.file("station.json")}, environment);
    const std::string page = daemon_->expect_line("page: ", kHang);
    port_ = static_cast<std::uint16_t>(std::stoi(page.substr(page.rfind(':') + 1)));
}

void TimedStation::stall_disk(bool stalled) {
    const std::string marker = records_ + ".stalled";
    if (stalled)
        std::ofstream(marker) << "\n";
    else
        std::filesystem::remove(marker);
}

std::optional<int> TimedStation::stop() {
    stall_disk(false);
    daemon_->send_signal(SIGTERM);
    return daemon_->wait(kHang);
}

}  // namespace drumwatch
