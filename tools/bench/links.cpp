// What a poll of eight neighbouring input registers costs, over TCP on loopback and over RTU on a
// pseudo-terminal (115200 baud by name; it has no speed): the bus driver against a bare loop of libmodbus's
// read in the same run, device and asker pinned to one core.
//
//   bench_links [ROUNDS]            ratios, with the bars 1.2 (CPU) and 1.1 (round trip); exit 1 beyond them
//   bench_links tcp|rtu POLLS       so many polls by the driver and nothing else, for a counter of
//   instructions
//
// Before each poll both wait as long as the standard wants the line to be silent, as a station that polls
// four times a second does anyway: the driver keeps that silence, the library does not. CPU is that of the
// asking thread, its system calls among it. A round trip is the median of its block; a ratio the median of
// the rounds'.
#include <arpa/inet.h>
#include <fmt/core.h>
#include <modbus/modbus.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <pty.h>
#include <sched.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "drivers/driver.hpp"
#include "drivers/links/modbus_context.hpp"
#include "drivers/links/modbus_frame.hpp"

using namespace drumwatch;

namespace {

constexpr int kBlock = 100;  ///< polls
constexpr std::uint16_t kRegisters = 8;
constexpr auto kBetween = std::chrono::microseconds(2500);
constexpr double kMostCpu = 1.2;
constexpr double kMostTrip = 1.1;

void demand(bool right, const char* what) {
    if (right) return;
    fmt::print(stderr, "bench_links: {}: {}\n", what, std::strerror(errno));
    std::exit(1);
}

void pin_to_one_core() {
    cpu_set_t cores;
    CPU_ZERO(&cores);
    CPU_SET(static_cast<std::size_t>(sched_getcpu()), &cores);
    demand(sched_setaffinity(0, sizeof cores, &cores) == 0, "pinning");
}

/// The device: a process of its own that answers each request of `size` bytes with one prepared answer.
class Device {
  public:
    Device(std::function<int()> take, std::size_t size,
           std::function<void(std::vector<std::uint8_t>&)> answer) {
        pid_ = ::fork();
        demand(pid_ >= 0, "fork");
        if (pid_ > 0) return;
        ::prctl(PR_SET_PDEATHSIG, SIGKILL);
        for (;;) serve(take(), size, answer);
    }
    ~Device() {
        ::kill(pid_, SIGKILL);
        ::waitpid(pid_, nullptr, 0);
    }
    Device(const Device&) = delete;
    Device& operator=(const Device&) = delete;

  private:
    static void serve(int line, std::size_t size,
                      const std::function<void(std::vector<std::uint8_t>&)>& answer) {
        std::vector<std::uint8_t> bytes(size);
        std::size_t have = 0;
        for (;;) {
            const ssize_t count = ::read(line, bytes.data() + have, size - have);
            if (count <= 0) break;
            have += static_cast<std::size_t>(count);
            if (have < size) continue;
            std::vector<std::uint8_t> reply = bytes;
            answer(reply);
            if (::write(line, reply.data(), reply.size()) < 0) break;
            have = 0;
        }
        ::close(line);
    }
    pid_t pid_ = -1;
};

/// Unit, function and the registers' values.
std::vector<std::uint8_t> answer_body() {
    std::vector<std::uint8_t> body{1, 4, 2 * kRegisters};
    for (std::uint8_t i = 0; i < kRegisters; ++i) body.insert(body.end(), {0x07, i});
    return body;
}

struct Wire {
    BusConfig bus;
    ModbusContext bare;
    std::unique_ptr<Device> device;
};

BusConfig eight_registers(BusKind kind) {
    BusConfig bus;
    bus.kind = kind;
    bus.timeout_ms = 5000;
    for (std::uint8_t i = 0; i < kRegisters; ++i) {
        ChannelSource source;
        source.channel = i;
        source.modbus =
            ModbusSource{RegisterTable::input, i, 1, DataType::int16, WordOrder::abcd, std::nullopt};
        source.scale = 0.1;
        bus.channels.push_back(source);
    }
    return bus;
}

Wire over_tcp() {
    Wire wire{eight_registers(BusKind::modbus_tcp), nullptr, nullptr};
    const int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    auto* generic = reinterpret_cast<sockaddr*>(&address);
    demand(::bind(listener, generic, size) == 0 && ::listen(listener, 4) == 0 &&
               ::getsockname(listener, generic, &size) == 0,
           "listening");
    wire.bus.host = "127.0.0.1";
    wire.bus.port = ntohs(address.sin_port);
    wire.device = std::make_unique<Device>(
        [listener] {
            const int line = ::accept(listener, nullptr, nullptr);
            const int on = 1;
            ::setsockopt(line, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
            return line;
        },
        12,
        [body = answer_body()](std::vector<std::uint8_t>& reply) {
            reply.resize(6);
            reply[4] = 0;
            reply[5] = static_cast<std::uint8_t>(body.size());
            reply.insert(reply.end(), body.begin(), body.end());
        });
    ::close(listener);
    wire.bare.reset(modbus_new_tcp("127.0.0.1", wire.bus.port));
    return wire;
}

Wire over_rtu() {
    Wire wire{eight_registers(BusKind::modbus_rtu), nullptr, nullptr};
    int device = -1;
    int kept_open = -1;  // for good: else the terminal hangs up when an asker closes
    char name[128] = {};
    demand(::openpty(&device, &kept_open, name, nullptr, nullptr) == 0, "a pseudo-terminal");
    termios mode{};
    ::tcgetattr(kept_open, &mode);
    ::cfmakeraw(&mode);
    ::tcsetattr(kept_open, TCSANOW, &mode);
    wire.bus.device = name;
    std::vector<std::uint8_t> body = answer_body();
    const std::uint16_t crc = crc16(body);
    body.push_back(static_cast<std::uint8_t>(crc & 0xFFU));
    body.push_back(static_cast<std::uint8_t>(crc >> 8U));
    wire.device = std::make_unique<Device>([device] { return device; }, 8,
                                           [body](std::vector<std::uint8_t>& reply) { reply = body; });
    wire.bare.reset(modbus_new_rtu(name, 115200, 'E', 8, 1));
    return wire;
}

struct Cost {
    double cpu_us = 0;   ///< of a poll, in the mean
    double trip_us = 0;  ///< the median
};

double thread_cpu_us() {
    timespec time{};
    ::clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    return static_cast<double>(time.tv_sec) * 1e6 + static_cast<double>(time.tv_nsec) / 1e3;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

Cost block(const std::function<bool()>& poll) {
    std::vector<double> trips;
    double cpu_us = 0;
    for (int i = 0; i < kBlock; ++i) {
        std::this_thread::sleep_for(kBetween);
        const double cpu_before = thread_cpu_us();
        const auto before = std::chrono::steady_clock::now();
        demand(poll(), "a poll failed");
        const std::chrono::duration<double, std::micro> trip = std::chrono::steady_clock::now() - before;
        cpu_us += thread_cpu_us() - cpu_before;
        trips.push_back(trip.count());
    }
    return {cpu_us / kBlock, median(std::move(trips))};
}

bool driver_polls(Driver& driver) {
    const PollOutcome outcome = driver.poll();
    return outcome.link == Link::up && outcome.readings.size() == kRegisters && outcome.complaint.empty() &&
           outcome.readings[3].value_milli == 179'500;  // 0703h tenths
}

bool library_reads(modbus_t* context) {
    std::array<std::uint16_t, kRegisters> values{};
    return modbus_read_input_registers(context, 0, kRegisters, values.data()) == kRegisters &&
           values[3] == 0x0703;
}

/// One after the other on the same wire: a port is one program's alone, and the device serves one at a time.
Cost of_driver(const Wire& wire) {
    const auto driver = make_driver(wire.bus, 1);
    const Result<Done> opened = driver->open();
    demand(opened.ok(), "the driver can't open");
    driver_polls(*driver);  // the first pays for what is made once
    return block([&] { return driver_polls(*driver); });
}

Cost of_library(const Wire& wire) {
    modbus_t* const context = wire.bare.get();
    modbus_set_slave(context, 1);
    demand(modbus_connect(context) == 0, "the library can't connect");
    modbus_set_response_timeout(context, 5, 0);
    library_reads(context);
    const Cost cost = block([&] { return library_reads(context); });
    modbus_close(context);
    return cost;
}

bool compare(const char* name, const Wire& wire, int rounds) {
    std::vector<double> cpu;
    std::vector<double> trip;
    std::vector<double> ours;
    for (int i = 0; i < rounds; ++i) {
        const Cost driver = of_driver(wire);
        const Cost library = of_library(wire);
        cpu.push_back(driver.cpu_us / library.cpu_us);
        trip.push_back(driver.trip_us / library.trip_us);
        ours.push_back(driver.trip_us);
    }
    const double cpu_ratio = median(cpu);
    const double trip_ratio = median(trip);
    fmt::print("{}: CPU {:.2f} of the bare loop's (at most {}), round trip {:.2f} (at most {}), {:.0f} us\n",
               name, cpu_ratio, kMostCpu, trip_ratio, kMostTrip, median(ours));
    return cpu_ratio <= kMostCpu && trip_ratio <= kMostTrip;
}

int count_only(const Wire& wire, int polls) {
    const auto driver = make_driver(wire.bus, 1);
    demand(driver->open().ok(), "the driver can't open");
    for (int i = 0; i < polls; ++i) {
        std::this_thread::sleep_for(kBetween);
        demand(driver_polls(*driver), "a poll failed");
    }
    return 0;
}

}  // namespace

int main(int count, char** words) {
    pin_to_one_core();
    const std::string first = count > 1 ? words[1] : "";
    if (count > 2) return count_only(first == "tcp" ? over_tcp() : over_rtu(), std::atoi(words[2]));
    const int rounds = count > 1 ? std::atoi(words[1]) : 15;
    const bool tcp = compare("Modbus TCP", over_tcp(), rounds);
    const bool rtu = compare("Modbus RTU", over_rtu(), rounds);
    return tcp && rtu ? 0 : 1;
}
