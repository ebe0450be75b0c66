// The serial face on a real pseudo-terminal, read by a reader that knows nothing of the simulator.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <filesystem>

#include "bus_client.hpp"

using namespace drumwatch;
using namespace drumwatch::test;
using namespace std::chrono_literals;

namespace {

class LineReader {
  public:
    explicit LineReader(const std::string& path)
        : descriptor_(open(path.c_str(), O_RDONLY | O_NOCTTY | O_CLOEXEC)) {
        REQUIRE(descriptor_ >= 0);
    }
    ~LineReader() { close(descriptor_); }
    /// The next line with its end, or what had come when five seconds were over.
    std::string line() {
        std::string out;
        pollfd ready{descriptor_, POLLIN, 0};
        while (poll(&ready, 1, 5000) > 0) {
            char letter = 0;
            if (read(descriptor_, &letter, 1) != 1) break;
            out += letter;
            if (letter == '\n') break;
        }
        return out;
    }

  private:
    int descriptor_;
};

}  // namespace

TEST_CASE("In stepped time each step writes one line that agrees with the registers") {
    ChildProcess sim(sim_command({"--stepped", "250", "--serial"}));
    BusClient bus(printed_port(sim));
    LineReader serial(sim.expect_line("serial: ", 5s));
    REQUIRE(bus.connect());
    for (int i = 0; i < 50; ++i) {
        const auto inputs = bus.inputs(0, 2);
        const std::string line = serial.line();
        CAPTURE(line);
        REQUIRE(line.size() > 4);
        CHECK(line.substr(line.size() - 2) == "\r\n");
        const auto comma = line.find(',');
        REQUIRE(comma != std::string::npos);
        CHECK(std::lround(10.0 * std::stod(line.substr(0, comma))) == inputs[0]);
        CHECK(std::lround(10.0 * std::stod(line.substr(comma + 1))) == inputs[1]);
        bus.time_ms();
    }
}

TEST_CASE("Nobody reading the serial line does not stop the simulator and leaves no old lines") {
    ChildProcess sim(sim_command({"--speed", "50", "--serial", "--serial-period-ms", "25"}));
    BusClient bus(printed_port(sim));
    const std::string path = sim.expect_line("serial: ", 5s);
    REQUIRE(bus.connect());
    // 2000 lines a second: the terminal's buffer would be full ten times over.
    std::int64_t now_ms = 0;
    while (now_ms < 120000) {
        now_ms = bus.time_ms();
        REQUIRE(now_ms >= 0);
    }
    LineReader serial(path);
    serial.line();  // may be the rest of a line
    const auto began_ms = bus.time_ms();
    CHECK(began_ms >= 120000);
    // Within the lines of at most one real second stands the present reading.
    bool found = false;
    for (int i = 0; i < 4000 && !found; ++i) {
        const auto inputs = bus.inputs(0, 1);
        found = std::abs(std::stod(serial.line()) - inputs[0] / 10.0) < 3.0;
    }
    CHECK(found);
}

TEST_CASE("The link to the terminal is made and removed") {
    const auto link =
        std::filesystem::temp_directory_path() / ("drumwatch-serial-" + std::to_string(getpid()));
    ChildProcess sim(sim_command({"--serial", "--serial-link", link.string(), "--speed", "10"}));
    const std::string path = sim.expect_line("serial: ", 20s);
    CHECK(std::filesystem::read_symlink(link) == path);
    LineReader serial(link.string());
    CHECK(serial.line().find(',') != std::string::npos);
    CHECK(sim.terminate() == 0);
    CHECK_FALSE(std::filesystem::is_symlink(link));
}
