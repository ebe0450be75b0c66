#include "drivers/links/modbus_tcp.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <modbus/modbus.h>
#include <sys/socket.h>
#include <sys/types.h>
#include <unistd.h>

#include <cerrno>
#include <string>
#include <thread>
#include <utility>

#include "drivers/links/frame_receiver.hpp"
#include "drivers/links/modbus_context.hpp"
#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_poll.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int kSelectLimit = 1024;

/// The kernel gives the lowest free number, so this is what the next socket will get.
bool descriptors_left_for_select() {
    const int probe = ::open("/dev/null", O_RDONLY | O_CLOEXEC);
    if (probe >= 0) ::close(probe);
    return probe >= 0 && probe < kSelectLimit;
}

/// How long connecting may take. The library divides milliseconds in two, and refuses a whole second in the
/// small half.
bool set_timeout(modbus_t* context, std::chrono::milliseconds timeout) {
    const auto seconds = static_cast<std::uint32_t>(timeout.count() / 1000);
    const auto microseconds = static_cast<std::uint32_t>(timeout.count() % 1000 * 1000);
    return modbus_set_response_timeout(context, seconds, microseconds) == 0;
}

class TcpTransport final : public ModbusTransport {
  public:
    TcpTransport(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap tap)
        : host_(bus.host), port_(bus.port), timeout_(timeout), tap_(std::move(tap)) {}

    Result<Done> open() override;
    void close() override { context_.reset(); }
    bool is_open() const override { return context_ != nullptr; }
    ModbusReply ask(const ModbusQuestion& question, const ModbusUnit& unit) override;
    bool opens_anew() const override { return true; }
    std::uint32_t take_late() override { return 0; }  // a late answer takes its connection with it

  private:
    ModbusReply lost(LinkFault fault, std::string_view why);
    bool send_all(const TcpRequest& request) const;

    std::string host_;
    std::uint16_t port_;
    std::chrono::milliseconds timeout_;
    ByteTap tap_;
    ModbusContext context_;
    std::uint16_t transaction_ = 0;
    std::array<std::uint8_t, kMaxModbusFrame> answer_{};
};

Result<Done> TcpTransport::open() {
    if (!descriptors_left_for_select()) return Error{"too many open files for Modbus (1024 is the limit)"};
    ModbusContext context(modbus_new_tcp_pi(host_.c_str(), std::to_string(port_).c_str()));
    if (!context || !set_timeout(context.get(), timeout_))
        return Error{fmt::format("host {}: not usable", host_)};
    errno = 0;
    if (modbus_connect(context.get()) != 0) {
        // The library leaves EINPROGRESS behind when connecting took too long.
        const char* why = errno == EINPROGRESS ? "no answer in time" : modbus_strerror(errno);
        return Error{fmt::format("cannot connect to {}:{}: {}", host_, port_, why)};
    }
    context_ = std::move(context);
    return Done{};
}

/// Nothing that still arrives can be believed.
ModbusReply TcpTransport::lost(LinkFault fault, std::string_view why) {
    close();
    return {ModbusReply::Kind::broken, 0, {}, fault, why};
}

bool TcpTransport::send_all(const TcpRequest& request) const {
    // Twelve bytes into an idle connection go in one piece, or the connection is no good.
    const bool all = ::send(modbus_get_socket(context_.get()), request.data(), request.size(),
                            MSG_NOSIGNAL | MSG_DONTWAIT) == static_cast<ssize_t>(request.size());
    if (all && tap_) tap_(ByteWay::sent, request);
    return all;
}

ModbusReply TcpTransport::ask(const ModbusQuestion& question, const ModbusUnit& unit) {
    if (unit.ready_at() > Clock::now()) std::this_thread::sleep_until(unit.ready_at());
    ++transaction_;
    const auto deadline = Clock::now() + unit.timeout();
    if (!send_all(tcp_request(transaction_, question)))
        return lost(LinkFault::gone, "the connection is lost");
    const Received received =
        receive_frame(modbus_get_socket(context_.get()), question, tcp_reply_length, answer_, 0, deadline);
    if (tap_ && received.bytes > 0) tap_(ByteWay::received, std::span(answer_).first(received.bytes));
    if (received.error != 0) return lost(LinkFault::gone, modbus_strerror(received.error));
    if (!received.whole)
        return lost(received.bytes == 0 ? LinkFault::silent : LinkFault::short_answer,
                    "no whole answer in time");
    const ModbusReply reply =
        check_tcp_reply(transaction_, question, std::span(answer_).first(received.bytes));
    if (reply.kind == ModbusReply::Kind::broken) return lost(reply.fault, reply.why);
    return reply;
}

}  // namespace

std::unique_ptr<Driver> make_modbus_tcp(const BusConfig& bus, std::chrono::milliseconds timeout,
                                        ByteTap tap) {
    return std::make_unique<ModbusPoll>(bus, timeout, make_tcp_transport(bus, timeout, std::move(tap)));
}

std::unique_ptr<ModbusTransport> make_tcp_transport(const BusConfig& bus, std::chrono::milliseconds timeout,
                                                    ByteTap tap) {
    return std::make_unique<TcpTransport>(bus, timeout, std::move(tap));
}

}  // namespace drumwatch
