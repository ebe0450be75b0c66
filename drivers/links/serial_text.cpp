#include "drivers/links/serial_text.hpp"

#include <fcntl.h>
#include <fmt/core.h>
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
#include "drivers/links/line_outcome.hpp"
#include "drivers/links/serial_port.hpp"

namespace drumwatch {
namespace {

namespace asio = boost::asio;
using Clock = std::chrono::steady_clock;
using boost::system::error_code;

constexpr std::chrono::milliseconds kBriefWait(20);

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

std::span<const std::uint8_t> bytes_of(std::string_view text) {
    return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

/// One opening of the port; a new one begins with nothing left over.
struct Stream {
    asio::io_context io{1};
    asio::serial_port port{io};
    std::array<char, 1024> chunk{};
    LineBuffer lines;
    const ByteTap& tap;
    std::uint64_t overlong_told = 0;
    error_code failure;
    bool bytes_came = false;  ///< since the last line
    Clock::time_point heard = Clock::now();

    /// `told` outlives it.
    explicit Stream(const ByteTap& told) : tap(told) {}
    Stream(const Stream&) = delete;
    Stream& operator=(const Stream&) = delete;
    /// The exclusive mark stays with the terminal, not with our descriptor.
    ~Stream() {
        if (port.is_open()) let_others_in(port.native_handle());
    }
    void read_on() {
        port.async_read_some(asio::buffer(chunk), [this](error_code error, std::size_t count) {
            const std::string_view came(chunk.data(), count);
            if (tap && count > 0) tap(ByteWay::received, bytes_of(came));
            lines.take(came);
            bytes_came = bytes_came || count > 0;
            failure = error;
            if (!error) read_on();
        });
    }
    /// Takes what is there. Bounded, so that a device that never stops talking cannot hold the thread.
    void take_waiting() {
        for (int chunks = 0; chunks < 64 && io.poll_one() > 0; ++chunks) {
        }
    }
};

class SerialText final : public Driver {
  public:
    SerialText(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap tap)
        : bus_(bus), timeout_(timeout), tap_(std::move(tap)) {}

    Result<Done> open() override;
    PollOutcome poll() override;
    void close() override { stream_.reset(); }
    Result<Done> write_coil(AllowedCoil, bool) override { return Error{"a serial text bus has no coils"}; }

  private:
    void listen();
    bool ask();
    void await_answer();
    PollOutcome quiet();
    PollOutcome gone();

    BusConfig bus_;
    std::chrono::milliseconds timeout_;
    ByteTap tap_;
    std::unique_ptr<Stream> stream_;
    bool was_silent_ = false;  ///< no whole line since the link was found down
};

Result<Done> SerialText::open() {
    close();
    const Result<int> port = open_locked(bus_.device);
    if (!port) return Error{port.error()};
    auto stream = std::make_unique<Stream>(tap_);
    error_code error;
    stream->port.assign(port.value(), error);
    if (error) ::close(port.value());
    if (!error) {
        if (const Result<Done> alone = keep_others_out(port.value(), bus_.device); !alone) return alone;
        error = set_line(stream->port, bus_.baud);
    }
    if (error)
        return Error{fmt::format("cannot set {} to {} baud: {}", bus_.device, bus_.baud, error.message())};
    if (!set_read_mode(port.value()))
        return Error{fmt::format("cannot set {}: {}", bus_.device, std::strerror(errno))};
    ::tcflush(port.value(), TCIFLUSH);  // what waited there is older than we can know
    stream->read_on();
    stream_ = std::move(stream);
    return Done{};
}

/// Takes what is there; waits only when that is no whole line: briefly, or after a silence until it has ended
/// (or each new opening would look like an answer).
void SerialText::listen() {
    Stream& stream = *stream_;
    const auto deadline = Clock::now() + (was_silent_ ? timeout_ : std::min(kBriefWait, timeout_));
    stream.take_waiting();
    while (!stream.lines.has_line() && !stream.failure && stream.io.run_one_until(deadline) > 0) {
    }
}

/// Sends the command; what came before it answers an older one. False when the port does not take it.
bool SerialText::ask() {
    Stream& stream = *stream_;
    stream.take_waiting();
    stream.lines.newest();
    const bool all = ::write(stream.port.native_handle(), bus_.poll.data(), bus_.poll.size()) ==
                     static_cast<ssize_t>(bus_.poll.size());
    if (all && tap_) tap_(ByteWay::sent, bytes_of(bus_.poll));
    return all;
}

/// One command, one line: a slow device is never asked twice before it has answered or its time is over. The
/// first line after opening is thrown away, so that one is asked for again.
void SerialText::await_answer() {
    Stream& stream = *stream_;
    const auto deadline = Clock::now() + timeout_;
    for (int asked = 0; asked < 2 && !stream.lines.has_line() && !stream.failure; ++asked) {
        if (!ask()) {
            stream.failure = error_code(errno, boost::system::system_category());
            return;
        }
        const std::uint64_t before = stream.lines.ended();
        while (stream.lines.ended() == before && !stream.failure && stream.io.run_one_until(deadline) > 0) {
        }
        if (stream.lines.ended() == before) return;  // its time is over
    }
}

PollOutcome SerialText::poll() {
    if (!stream_) return PollOutcome::down(LinkFault::gone, "not open");
    if (bus_.poll.empty())
        listen();
    else
        await_answer();
    Stream& stream = *stream_;
    const std::optional<std::string> line = stream.lines.newest();
    const auto overlong = static_cast<std::uint32_t>(stream.lines.overlong() - stream.overlong_told);
    stream.overlong_told = stream.lines.overlong();
    if (line) {
        stream.heard = Clock::now();
        stream.bytes_came = false;
        was_silent_ = false;
    }
    PollOutcome outcome = line ? outcome_of_line(bus_, *line) : stream.failure ? gone() : quiet();
    outcome.faults[static_cast<std::size_t>(LinkFault::overlong_line)] += overlong;
    return outcome;
}

PollOutcome SerialText::gone() {
    const std::string why = stream_->failure.message();
    close();
    return PollOutcome::down(LinkFault::gone, fmt::format("{} is gone: {}", bus_.device, why));
}

PollOutcome SerialText::quiet() {
    if (bus_.poll.empty() && !was_silent_ && Clock::now() - stream_->heard <= timeout_)
        return {Link::up, {}, std::nullopt, {}};
    was_silent_ = true;
    if (!stream_->bytes_came)
        return PollOutcome::down(
            LinkFault::silent,
            bus_.device + (bus_.poll.empty() ? " says nothing" : " does not answer its command"));
    PollOutcome outcome = PollOutcome::down(
        LinkFault::no_line,
        fmt::format("{} sends no whole line: is the baud rate {}?", bus_.device, bus_.baud));
    outcome.talks = true;
    return outcome;
}

}  // namespace

std::unique_ptr<Driver> make_serial_text(const BusConfig& bus, std::chrono::milliseconds timeout,
                                         ByteTap tap) {
    return std::make_unique<SerialText>(bus, timeout, std::move(tap));
}

}  // namespace drumwatch
