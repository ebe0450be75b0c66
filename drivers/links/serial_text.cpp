#include "drivers/links/serial_text.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/serial_port.hpp>
#include <cerrno>
#include <cstring>
#include <memory>
#include <optional>
#include <utility>

#include "drivers/links/line_buffer.hpp"
#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

namespace asio = boost::asio;
using Clock = std::chrono::steady_clock;
using boost::system::error_code;

constexpr std::chrono::milliseconds kBriefWait(20);

/// An open descriptor that is ours alone, or a sentence.
Result<int> open_alone(const std::string& device) {
    const int port = ::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    const auto refuse = [&](const char* what) {
        const int error = errno;
        if (port >= 0) ::close(port);
        return Error{fmt::format("{} {}: {}", what, device, std::strerror(error))};
    };
    if (port < 0) return refuse("cannot open");
    if (::isatty(port) == 0) return refuse("not a serial port:");
    // The lock comes before anything is changed: opening alone does not keep another program out.
    if (::flock(port, LOCK_EX | LOCK_NB) != 0) return refuse("another program uses");
    if (::ioctl(port, TIOCEXCL) != 0) return refuse("cannot keep others out of");
    return port;
}

/// One read must wait for at least one byte, or an empty read would look like an unplugged adapter.
bool set_read_mode(int port) {
    termios mode{};
    if (::tcgetattr(port, &mode) != 0) return false;
    ::cfmakeraw(&mode);
    mode.c_cflag |= CREAD | CLOCAL;
    mode.c_cc[VMIN] = 1;
    mode.c_cc[VTIME] = 0;
    return ::tcsetattr(port, TCSANOW, &mode) == 0;
}

error_code set_line(asio::serial_port& port, std::uint32_t baud) {
    using Port = asio::serial_port_base;
    error_code error;
    port.set_option(Port::baud_rate(baud), error);
    if (!error) port.set_option(Port::character_size(8), error);
    if (!error) port.set_option(Port::parity(Port::parity::none), error);
    if (!error) port.set_option(Port::stop_bits(Port::stop_bits::one), error);
    if (!error) port.set_option(Port::flow_control(Port::flow_control::none), error);
    return error;
}

/// One opening of the port; a new one begins with nothing left over.
struct Stream {
    asio::io_context io{1};
    asio::serial_port port{io};
    std::array<char, 1024> chunk{};
    LineBuffer lines;
    error_code failure;
    bool bytes_came = false;
    Clock::time_point heard = Clock::now();

    Stream() = default;
    Stream(const Stream&) = delete;
    Stream& operator=(const Stream&) = delete;
    /// The exclusive mark stays with the terminal, not with our descriptor.
    ~Stream() {
        if (port.is_open()) ::ioctl(port.native_handle(), TIOCNXCL);
    }
    void read_on() {
        port.async_read_some(asio::buffer(chunk), [this](error_code error, std::size_t count) {
            lines.take(std::string_view(chunk.data(), count));
            bytes_came = bytes_came || count > 0;
            failure = error;
            if (!error) read_on();
        });
    }
};

class SerialText final : public Driver {
  public:
    SerialText(const BusConfig& bus, std::chrono::milliseconds timeout) : bus_(bus), timeout_(timeout) {}

    Result<Done> open() override;
    PollOutcome poll() override;
    void close() override { stream_.reset(); }
    Result<Done> write_coil(AllowedCoil, bool) override { return Error{"a serial text bus has no coils"}; }

  private:
    void listen();
    PollOutcome quiet() const;
    static PollOutcome down(std::string complaint) {
        return {Link::down, {}, std::nullopt, std::move(complaint)};
    }

    BusConfig bus_;
    std::chrono::milliseconds timeout_;
    std::unique_ptr<Stream> stream_;
};

Result<Done> SerialText::open() {
    close();
    const Result<int> port = open_alone(bus_.device);
    if (!port) return Error{port.error()};
    auto stream = std::make_unique<Stream>();
    error_code error;
    stream->port.assign(port.value(), error);
    if (error) ::close(port.value());
    if (!error) error = set_line(stream->port, bus_.baud);
    if (error)
        return Error{fmt::format("cannot set {} to {} baud: {}", bus_.device, bus_.baud, error.message())};
    if (!set_read_mode(port.value()))
        return Error{fmt::format("cannot set {}: {}", bus_.device, std::strerror(errno))};
    ::tcflush(port.value(), TCIFLUSH);  // what waited there is older than we can know
    stream->read_on();
    stream_ = std::move(stream);
    return Done{};
}

/// Takes what is there; waits briefly only when that is no whole line.
void SerialText::listen() {
    Stream& stream = *stream_;
    const auto deadline = Clock::now() + std::min(kBriefWait, timeout_);
    // Bounded, so that a device that never stops talking cannot hold the thread.
    for (int chunks = 0; chunks < 64 && stream.io.poll_one() > 0; ++chunks) {
    }
    while (!stream.lines.has_line() && !stream.failure && stream.io.run_one_until(deadline) > 0) {
    }
}

PollOutcome SerialText::poll() {
    if (!stream_) return down("not open");
    listen();
    const std::optional<std::string> line = stream_->lines.newest();
    if (line) {
        stream_->heard = Clock::now();
        PollOutcome outcome;
        outcome.link = Link::up;
        for (const ChannelSource& channel : bus_.channels)
            outcome.readings.push_back(decode_text(channel, *line, bus_.delimiter));
        return outcome;
    }
    if (stream_->failure) {
        const std::string why = stream_->failure.message();
        close();
        return down(fmt::format("{} is gone: {}", bus_.device, why));
    }
    return quiet();
}

PollOutcome SerialText::quiet() const {
    if (Clock::now() - stream_->heard <= timeout_) return {Link::up, {}, std::nullopt, {}};
    if (stream_->bytes_came)
        return down(fmt::format("{} sends no whole line: is the baud rate {}?", bus_.device, bus_.baud));
    return down(fmt::format("{} says nothing", bus_.device));
}

}  // namespace

std::unique_ptr<Driver> make_serial_text(const BusConfig& bus, std::chrono::milliseconds timeout) {
    return std::make_unique<SerialText>(bus, timeout);
}

}  // namespace drumwatch
