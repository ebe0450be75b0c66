#include "drivers/links/modbus_rtu.hpp"

#include <fmt/core.h>
#include <modbus/modbus.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <bitset>
#include <cerrno>
#include <cstring>
#include <string>
#include <thread>
#include <utility>

#include "drivers/links/frame_receiver.hpp"
#include "drivers/links/modbus_context.hpp"
#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_poll.hpp"
#include "drivers/links/serial_port.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::microseconds;

/// Adapters hand over what came in batches, some 16 ms apart (common practice, no source): a shorter quiet
/// proves nothing after a fault.
constexpr microseconds kBatch(20'000);

char parity_letter(Parity parity) {
    switch (parity) {
        case Parity::none:
            return 'N';
        case Parity::even:
            return 'E';
        case Parity::odd:
            return 'O';
    }
    return 'N';
}

/// One read must wait for at least one byte, or an empty read would look like an unplugged adapter.
bool set_read_mode(int port) {
    termios mode{};
    if (::tcgetattr(port, &mode) != 0) return false;
    mode.c_cc[VMIN] = 1;
    return ::tcsetattr(port, TCSANOW, &mode) == 0;
}

/// The descriptor that holds the lock; another one than the library's.
class PortLock {
  public:
    PortLock() = default;
    PortLock(const PortLock&) = delete;
    PortLock& operator=(const PortLock&) = delete;
    ~PortLock() { release(); }
    void hold(int port) {
        release();
        port_ = port;
    }
    int port() const { return port_; }
    void release() {
        if (port_ < 0) return;
        let_others_in(port_);
        ::close(port_);
        port_ = -1;
    }

  private:
    int port_ = -1;
};

class RtuTransport final : public ModbusTransport {
  public:
    RtuTransport(const BusConfig& bus, ByteTap tap)
        : device_(bus.device),
          baud_(bus.baud),
          parity_(bus.parity),
          stop_bits_(bus.stop_bits),
          silence_(frame_silence(bus.baud)),
          tap_(std::move(tap)) {}

    Result<Done> open() override;
    void close() override {
        context_.reset();
        lock_.release();
    }
    bool is_open() const override { return context_ != nullptr; }
    ModbusReply ask(const ModbusQuestion& question, const ModbusUnit& unit) override;
    bool opens_anew() const override { return false; }  // the line is the same
    std::uint32_t take_late() override { return std::exchange(late_, 0); }

  private:
    int port() const { return modbus_get_socket(context_.get()); }
    int clear_line(const ModbusUnit& unit);
    bool send_all(const RtuRequest& request) const;
    ModbusReply receive(const ModbusQuestion& question, Clock::time_point deadline);
    bool is_late(const ModbusReply& reply) const;
    ModbusReply timed_out(const ModbusQuestion& question, std::size_t bytes);
    ModbusReply faulty(ModbusReply reply);
    ModbusReply gone(int error);

    std::string device_;
    std::uint32_t baud_;
    Parity parity_;
    int stop_bits_;
    microseconds silence_;
    ByteTap tap_;
    PortLock lock_;
    ModbusContext context_;
    Clock::time_point asked_at_{};  ///< when the line was free for the newest question
    Clock::time_point quiet_at_{};  ///< when the line has been silent for long enough
    std::bitset<256> owing_;        ///< units whose answer may still come; survives a new opening
    std::uint32_t late_ = 0;
    std::string why_gone_;
    std::array<std::uint8_t, kMaxModbusFrame> answer_{};
};

Result<Done> RtuTransport::open() {
    const Result<int> locked = open_locked(device_);
    if (!locked) return Error{locked.error()};
    lock_.hold(locked.value());
    ModbusContext context(
        modbus_new_rtu(device_.c_str(), static_cast<int>(baud_), parity_letter(parity_), 8, stop_bits_));
    const auto refuse = [&](int error) {
        context.reset();
        lock_.release();
        return Error{fmt::format("cannot set {} to {} baud: {}", device_, baud_, std::strerror(error))};
    };
    if (!context || modbus_connect(context.get()) != 0) return refuse(errno);
    if (!set_read_mode(modbus_get_socket(context.get()))) return refuse(errno);
    if (const Result<Done> alone = keep_others_out(lock_.port(), device_); !alone) {
        close();
        return alone;
    }
    context_ = std::move(context);
    ::tcflush(port(), TCIFLUSH);  // what waited there is older than we can know
    quiet_at_ = Clock::now() + silence_;
    return Done{};
}

/// Waits until the unit may be asked and throws away what has come unasked. Gives errno of a lost port.
int RtuTransport::clear_line(const ModbusUnit& unit) {
    const auto ready = std::max(quiet_at_, unit.ready_at());
    asked_at_ = Clock::now();
    if (ready > asked_at_) {
        std::this_thread::sleep_until(ready);
        asked_at_ = Clock::now();
    }
    const Received unasked = drain(port(), microseconds(0), asked_at_ + unit.timeout(), tap_);
    if (unasked.bytes == 0 || unasked.error != 0) return unasked.error;
    ++late_;
    const Received rest = drain(port(), std::max(silence_, kBatch), Clock::now() + unit.timeout(), tap_);
    asked_at_ = Clock::now();
    return rest.error;
}

bool RtuTransport::send_all(const RtuRequest& request) const {
    // Eight bytes into an idle line go in one piece, or the port is no good.
    const bool all = ::write(port(), request.data(), request.size()) == static_cast<ssize_t>(request.size());
    if (all && tap_) tap_(ByteWay::sent, request);
    return all;
}

ModbusReply RtuTransport::ask(const ModbusQuestion& question, const ModbusUnit& unit) {
    if (const int error = clear_line(unit); error != 0) return gone(error);
    if (!send_all(rtu_request(question))) return gone(errno);
    const std::size_t on_wire = sizeof(RtuRequest) + rtu_reply_length(question, {});
    const ModbusReply reply = receive(question, asked_at_ + wire_time(baud_, on_wire) + unit.timeout());
    owing_.set(question.unit_id, reply.kind == ModbusReply::Kind::broken);
    return reply;
}

ModbusReply RtuTransport::receive(const ModbusQuestion& question, Clock::time_point deadline) {
    std::size_t bytes = 0;
    for (;;) {
        const Received received = receive_frame(port(), question, rtu_reply_length, answer_, bytes, deadline);
        if (tap_ && received.bytes > bytes)
            tap_(ByteWay::received, std::span(answer_).subspan(bytes, received.bytes - bytes));
        if (received.error != 0) return gone(received.error);
        if (!received.whole) return timed_out(question, received.bytes);
        const std::size_t length = received.length;
        const ModbusReply reply =
            check_rtu_reply(question, std::span<const std::uint8_t>(answer_).first(length));
        const bool late = is_late(reply);
        if (!late && reply.kind == ModbusReply::Kind::broken) return faulty(reply);
        if (!late) {
            if (length < received.bytes) ++late_;
            quiet_at_ = Clock::now() + silence_;
            return reply;
        }
        ++late_;
        bytes = received.bytes - length;
        std::copy_n(answer_.begin() + static_cast<std::ptrdiff_t>(length), bytes, answer_.begin());
    }
}

/// A whole frame, right in itself, of a unit that owes one.
bool RtuTransport::is_late(const ModbusReply& reply) const {
    const bool not_ours = reply.fault == LinkFault::wrong_unit || reply.fault == LinkFault::wrong_function ||
                          reply.fault == LinkFault::wrong_length;
    return reply.kind == ModbusReply::Kind::broken && not_ours && owing_.test(answer_[0]);
}

ModbusReply RtuTransport::timed_out(const ModbusQuestion& question, std::size_t bytes) {
    if (bytes == 0) {
        quiet_at_ = Clock::now() + silence_;
        return {ModbusReply::Kind::broken, 0, {}, LinkFault::silent, "no answer in time"};
    }
    // As many bytes as the right answer has, but the frame says that it is longer: its bytes were changed.
    if (bytes >= rtu_reply_length(question, {}))
        return faulty(check_rtu_reply(question, std::span<const std::uint8_t>(answer_).first(bytes)));
    return faulty({ModbusReply::Kind::broken, 0, {}, LinkFault::short_answer, "no whole answer in time"});
}

/// Nothing is asked before the line is quiet again; how long a device goes on talking is bounded.
ModbusReply RtuTransport::faulty(ModbusReply reply) {
    const Received rest = drain(port(), std::max(silence_, kBatch), Clock::now() + 10 * kBatch, tap_);
    quiet_at_ = Clock::now();
    return rest.error != 0 ? gone(rest.error) : reply;
}

ModbusReply RtuTransport::gone(int error) {
    close();
    why_gone_ = fmt::format("{} is gone: {}", device_, std::strerror(error));
    return {ModbusReply::Kind::broken, 0, {}, LinkFault::gone, why_gone_};
}

}  // namespace

std::unique_ptr<Driver> make_modbus_rtu(const BusConfig& bus, std::chrono::milliseconds timeout,
                                        ByteTap tap) {
    return std::make_unique<ModbusPoll>(bus, timeout, make_rtu_transport(bus, std::move(tap)));
}

std::unique_ptr<ModbusTransport> make_rtu_transport(const BusConfig& bus, ByteTap tap) {
    return std::make_unique<RtuTransport>(bus, std::move(tap));
}

}  // namespace drumwatch
