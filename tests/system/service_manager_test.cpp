// The real daemon under a service manager's datagram socket (the protocol of the sd_notify(3) manual page).
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>

#include "support/child_process.hpp"
#include "support/held_thread.hpp"
#include "support/notify_socket.hpp"
#include "support/raw_client.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr auto kHang = 60s;  // only stops a hang

/// Nobody listens on port 1 of loopback: the bus falls silent, and after 5 s that is an alarm.
std::string write_station(const TempDir& folder) {
    const std::string path = folder.file("station.json");
    std::ofstream(path) << R"({"station":"Nowhere","limiter":"none stated",
"buses":[{"name":"machine","kind":"modbus_tcp","host":"127.0.0.1","port":1}],
"channels":[{"name":"bean","bus":"machine","unit":"°C","modbus":{"table":"input","address":0,"type":"int16"}}],
"alarms":{"bus_silent":{"on_delay_s":5}},
"record":{"path":"record.sqlite"},"web":{"port":0}})";
    return path;
}

/// A pipe with a name that takes no more: whoever writes to it stands still.
class FullPipe {
  public:
    explicit FullPipe(std::string path) : path_(std::move(path)) {
        REQUIRE(::mkfifo(path_.c_str(), 0600) == 0);
        end_ = ::open(path_.c_str(), O_RDWR | O_NONBLOCK | O_CLOEXEC);
        REQUIRE(end_ >= 0);
    }
    ~FullPipe() { ::close(end_); }
    FullPipe(const FullPipe&) = delete;
    FullPipe& operator=(const FullPipe&) = delete;
    void fill() {
        while (::write(end_, "x", 1) == 1) {
        }
    }
    void empty() {
        char text[4096];
        while (::read(end_, text, sizeof text) > 0) {
        }
    }
    const std::string& path() const { return path_; }

  private:
    std::string path_;
    int end_;
};

}  // namespace

TEST_CASE("the daemon says when it is ready, goes on saying that it lives, and says when it ends") {
    TempDir folder;
    NotifySocket socket(folder.file("notify"));
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", write_station(folder)}, {socket.variable()});
    const auto first = socket.next(kHang);
    REQUIRE(first);
    CHECK(first->find("EXTEND_TIMEOUT_USEC=") == 0);
    CHECK(first->find("READY=1") == std::string::npos);
    CHECK(socket.comes("READY=1", kHang));
    for (int i = 0; i < 3; ++i) CHECK(socket.comes("WATCHDOG=1", 10s));
    daemon.send_signal(SIGTERM);
    CHECK(socket.comes("STOPPING=1", 10s));
    CHECK(daemon.wait(kHang) == 0);
}

TEST_CASE("an engine that stands still feeds the watchdog no more, although its page still answers") {
    TempDir folder;
    NotifySocket socket(folder.file("notify"));
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", write_station(folder)}, {socket.variable()});
    const std::string page = daemon.expect_line("page: ", kHang);
    const auto port = static_cast<std::uint16_t>(std::stoi(page.substr(page.rfind(':') + 1)));
    REQUIRE(socket.comes("READY=1", kHang));
    {
        const HeldThread core(daemon.pid());  // the main thread is the core thread
        while (socket.next(0ms)) {
        }
        CHECK(!socket.next(4s));
        CHECK(RawClient(port).get("/").status == 200);
    }
    CHECK(socket.comes("WATCHDOG=1", 10s));
    daemon.send_signal(SIGTERM);
    CHECK(socket.comes("STOPPING=1", 10s));
    CHECK(daemon.wait(kHang) == 0);
}

TEST_CASE("a journal that takes no more lines delays no tick") {
    TempDir folder;
    NotifySocket socket(folder.file("notify"));
    FullPipe log(folder.file("log"));
    ChildProcess daemon(
        {"sh", "-c", "exec \"$0\" run \"$1\" 2>\"$2\"", DRUMWATCH_DAEMON, write_station(folder), log.path()},
        {socket.variable()});
    REQUIRE(socket.comes("READY=1", kHang));
    log.fill();  // before the alarm of the silent bus, which is a line
    for (int i = 0; i < 9; ++i) {
        CHECK(socket.comes("WATCHDOG=1", 10s));
        log.fill();
    }
    log.empty();
    daemon.send_signal(SIGTERM);
    CHECK(socket.comes("STOPPING=1", 10s));
    for (int i = 0; i < 100 && daemon.running(); ++i) {
        log.empty();
        (void)daemon.wait(100ms);
    }
    CHECK(daemon.wait(kHang) == 0);
}

TEST_CASE("with no service manager, or one that is gone, the daemon runs all the same") {
    TempDir folder;
    ChildProcess daemon({DRUMWATCH_DAEMON, "run", write_station(folder)},
                        {"NOTIFY_SOCKET=" + folder.file("nobody")});
    CHECK(!daemon.expect_line("page: ", kHang).empty());
    daemon.send_signal(SIGTERM);
    CHECK(daemon.wait(kHang) == 0);
}
