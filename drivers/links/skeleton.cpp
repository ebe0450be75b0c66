#include "drivers/links/skeleton.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <string>
#include <string_view>

#include "drivers/links/line_outcome.hpp"

namespace drumwatch {
namespace {

class Skeleton final : public Driver {
  public:
    explicit Skeleton(const BusConfig& bus) : bus_(bus) {}

    // 1. Take the device. Called again after each failure, so start from nothing, and say for a person what
    //    is wrong. Never retry in here: pauses and counting belong to the host.
    Result<Done> open() override {
        close();
        file_ = ::open(bus_.device.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
        if (file_ < 0) return Error{unreadable()};
        return Done{};
    }

    // 2. Measure once, in bounded time. Link::down only when the device itself cannot be reached, always with
    //    a fault of link_fault.hpp; what one channel has wrong is that channel's quality. Never invent a
    //    value and never repeat the last one: here the file itself is what is measured. A device that speaks
    //    by itself gives no readings until it has spoken again, and after `timeout` it is `silent`
    //    (serial_text.cpp). Registers are read and decoded by modbus_poll.cpp.
    PollOutcome poll() override {
        std::array<char, 256> buffer{};
        const ssize_t length = ::pread(file_, buffer.data(), buffer.size(), 0);
        if (length < 0) return PollOutcome::down(LinkFault::gone, unreadable());
        const std::string_view text(buffer.data(), static_cast<std::size_t>(length));
        return outcome_of_line(bus_, text.substr(0, text.find('\n')));
    }

    // 3. Let go of everything. Must be harmless twice.
    void close() override {
        if (file_ >= 0) ::close(file_);
        file_ = -1;
    }

    // 4. Most devices have no coil to write.
    Result<Done> write_coil(AllowedCoil, bool) override { return Error{"this kind of bus has no coils"}; }

    ~Skeleton() override { close(); }
    Skeleton(const Skeleton&) = delete;
    Skeleton& operator=(const Skeleton&) = delete;

  private:
    std::string unreadable() const {
        return fmt::format("cannot read {}: {}", bus_.device, std::strerror(errno));
    }

    BusConfig bus_;
    int file_ = -1;
};

}  // namespace

// The timeout, in real time, is how long one request may take, or how long a device that speaks by itself may
// be quiet. This one never keeps us waiting; a driver whose device does keeps it.
std::unique_ptr<Driver> make_skeleton(const BusConfig& bus, std::chrono::milliseconds) {
    return std::make_unique<Skeleton>(bus);
}

}  // namespace drumwatch
