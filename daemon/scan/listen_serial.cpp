#include "scan/listen_serial.hpp"

#include <fmt/format.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "drivers/links/line_buffer.hpp"
#include "drivers/links/serial_port.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::milliseconds kLook{100};

constexpr std::array<std::pair<std::uint32_t, speed_t>, 9> kSpeeds{{{1200, B1200},
                                                                    {2400, B2400},
                                                                    {4800, B4800},
                                                                    {9600, B9600},
                                                                    {19200, B19200},
                                                                    {38400, B38400},
                                                                    {57600, B57600},
                                                                    {115200, B115200},
                                                                    {230400, B230400}}};

class Port {
  public:
    explicit Port(int port) : port_(port) {}
    ~Port() {
        let_others_in(port_);
        ::close(port_);
    }
    Port(const Port&) = delete;
    Port& operator=(const Port&) = delete;
    int number() const { return port_; }

  private:
    int port_;
};

bool set_line(int port, std::uint32_t baud) {
    const auto speed = std::find_if(kSpeeds.begin(), kSpeeds.end(),
                                    [&](const auto& candidate) { return candidate.first == baud; });
    termios mode{};
    if (speed == kSpeeds.end() || ::tcgetattr(port, &mode) != 0) return false;
    ::cfmakeraw(&mode);
    mode.c_cflag |= CREAD | CLOCAL;
    mode.c_cc[VMIN] = 1;
    mode.c_cc[VTIME] = 0;
    return ::cfsetspeed(&mode, speed->second) == 0 && ::tcsetattr(port, TCSANOW, &mode) == 0 &&
           ::tcflush(port, TCIFLUSH) == 0;
}

/// Byte by byte, so that no line is lost behind a newer one.
void take(std::string_view bytes, LineBuffer& buffer, Heard& heard) {
    heard.bytes += bytes.size();
    for (const char byte : bytes) {
        buffer.take(std::string_view(&byte, 1));
        if (auto line = buffer.newest()) heard.lines.push_back(std::move(*line));
        if (heard.lines.size() > kMostLines) heard.lines.erase(heard.lines.begin());
    }
}

}  // namespace

Result<Heard> listen(const std::string& device, std::uint32_t baud, std::chrono::milliseconds how_long,
                     std::size_t enough, const std::atomic<bool>& ended) {
    const Result<int> opened = open_locked(device);
    if (!opened) return Error{opened.error()};
    const Port port(opened.value());
    if (const Result<Done> alone = keep_others_out(port.number(), device); !alone)
        return Error{alone.error()};
    if (!set_line(port.number(), baud)) return Error{fmt::format("cannot set {} to {} baud", device, baud)};
    Heard heard;
    LineBuffer buffer;
    std::array<char, 512> bytes{};
    const auto end = Clock::now() + how_long;
    while (!ended && Clock::now() < end && heard.lines.size() < enough) {
        pollfd wanted{port.number(), POLLIN, 0};
        if (::poll(&wanted, 1, static_cast<int>(kLook.count())) <= 0) continue;
        const ssize_t count = ::read(port.number(), bytes.data(), bytes.size());
        if (count < 0 && (errno == EAGAIN || errno == EINTR)) continue;
        if (count <= 0)
            return Error{
                fmt::format("{} is gone: {}", device, count < 0 ? std::strerror(errno) : "it hung up")};
        take(std::string_view(bytes.data(), static_cast<std::size_t>(count)), buffer, heard);
    }
    return heard;
}

}  // namespace drumwatch
