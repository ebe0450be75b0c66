#include "support/rtu_slave.hpp"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <stdexcept>
#include <utility>

namespace drumwatch {
namespace {

constexpr std::size_t kRequest = 8;

}  // namespace

Bytes with_crc(Bytes bytes) {
    unsigned crc = 0xFFFF;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? (crc >> 1U) ^ 0xA001U : crc >> 1U;
    }
    bytes.push_back(static_cast<std::uint8_t>(crc & 0xFFU));
    bytes.push_back(static_cast<std::uint8_t>(crc >> 8U));
    return bytes;
}

Bytes rtu_answer(const Bytes& request, std::uint16_t value) {
    if (request[1] != 3 && request[1] != 4) return request;
    const std::size_t registers = static_cast<std::size_t>(request[4]) << 8U | request[5];
    Bytes answer{request[0], request[1], static_cast<std::uint8_t>(2 * registers)};
    for (std::size_t i = 0; i < registers; ++i) {
        answer.push_back(static_cast<std::uint8_t>(value >> 8U));
        answer.push_back(static_cast<std::uint8_t>(value & 0xFFU));
    }
    return with_crc(std::move(answer));
}

Bytes rtu_refusal(const Bytes& request, std::uint8_t exception) {
    return with_crc({request[0], static_cast<std::uint8_t>(request[1] | 0x80U), exception});
}

void RtuSlave::Line::send(const Bytes& bytes) {
    if (::write(device_, bytes.data(), bytes.size()) < 0) ended_ = true;
}

void RtuSlave::Line::pause(std::chrono::milliseconds how_long) {
    if (ended_) return;
    pollfd stop{stop_, POLLIN, 0};
    if (::poll(&stop, 1, static_cast<int>(how_long.count())) != 0) ended_ = true;
}

RtuSlave::RtuSlave(Script script) : script_(std::move(script)) {
    std::array<int, 2> ends{};
    char name[128] = {};
    if (::openpty(&line_.device_, &kept_open_, name, nullptr, nullptr) != 0 ||
        ::pipe2(ends.data(), O_CLOEXEC) != 0)
        throw std::runtime_error("no pseudo-terminal for the slave");
    ::fcntl(line_.device_, F_SETFD, FD_CLOEXEC);
    ::fcntl(kept_open_, F_SETFD, FD_CLOEXEC);
    termios mode{};
    ::tcgetattr(kept_open_, &mode);
    ::cfmakeraw(&mode);
    ::tcsetattr(kept_open_, TCSANOW, &mode);
    line_.stop_ = ends[0];
    stop_write_ = ends[1];
    path_ = name;
    thread_ = std::thread([this] { serve(); });
}

RtuSlave::~RtuSlave() {
    ::close(stop_write_);  // the reading end becomes readable for good
    thread_.join();
    ::close(line_.stop_);
    ::close(line_.device_);
    ::close(kept_open_);
}

std::vector<Bytes> RtuSlave::requests() const {
    const std::lock_guard lock(mutex_);
    return requests_;
}

std::vector<std::chrono::steady_clock::time_point> RtuSlave::times() const {
    const std::lock_guard lock(mutex_);
    return times_;
}

void RtuSlave::serve() {
    Bytes request;
    while (!line_.ended_) {
        std::array<pollfd, 2> waiting{pollfd{line_.device_, POLLIN, 0}, pollfd{line_.stop_, POLLIN, 0}};
        ::poll(waiting.data(), waiting.size(), -1);
        if (waiting[1].revents != 0) return;
        std::array<std::uint8_t, kRequest> bytes{};
        const ssize_t count = ::read(line_.device_, bytes.data(), kRequest - request.size());
        if (count <= 0) return;
        request.insert(request.end(), bytes.begin(), bytes.begin() + count);
        if (request.size() < kRequest) continue;
        {
            const std::lock_guard lock(mutex_);
            requests_.push_back(request);
            times_.push_back(std::chrono::steady_clock::now());
        }
        script_(line_, std::exchange(request, {}));
    }
}

}  // namespace drumwatch
