#include "drivers/links/skeleton.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <string_view>

#include "drivers/links/text_line.hpp"

namespace drumwatch {
namespace {

class Skeleton final : public Driver {
  public:
    explicit Skeleton(const BusConfig& bus) : bus_(bus) {}

    // 1. Take the device. Called again after each failure, so start from nothing, and say for a person what
    // is
    //    wrong. Never retry in here: pauses and counting belong to the host.
    Result<Done> open() override {
        close();
        file_ = ::open(bus_.device.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
        if (file_ < 0) return Error{fmt::format("cannot read {}: {}", bus_.device, std::strerror(errno))};
        return Done{};
    }

    // 2. Measure once, in bounded time. Link::down only when the device itself cannot be reached; what one
    //    channel has wrong is that channel's quality. Never invent a value and never repeat the last one.
    PollOutcome poll() override {
        std::array<char, 256> buffer{};
        const ssize_t length = ::pread(file_, buffer.data(), buffer.size(), 0);
        if (length < 0)
            return {Link::down,
                    {},
                    std::nullopt,
                    fmt::format("cannot read {}: {}", bus_.device, std::strerror(errno))};
        std::string_view line(buffer.data(), static_cast<std::size_t>(length));
        line = line.substr(0, line.find('\n'));
        PollOutcome outcome;
        outcome.link = Link::up;
        for (const ChannelSource& channel : bus_.channels) {
            const TextValue value = read_text(channel, bus_, open_line(bus_, line));
            outcome.readings.push_back(value.reading);
            outcome.raws.push_back(raw_of(value));
            if (value.fault != LinkFault::none) outcome.count(value.fault);
        }
        return outcome;
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
    BusConfig bus_;
    int file_ = -1;
};

}  // namespace

// The timeout is how long one request may take; this device never keeps us waiting. A driver whose device
// does hands it on.
std::unique_ptr<Driver> make_skeleton(const BusConfig& bus, std::chrono::milliseconds) {
    return std::make_unique<Skeleton>(bus);
}

}  // namespace drumwatch
