#include "drivers/links/modbus_tcp.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <modbus/modbus.h>
#include <sys/socket.h>
#include <sys/types.h>
#include <unistd.h>

#include <cerrno>
#include <utility>

#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_plan.hpp"
#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

constexpr int kSelectLimit = 1024;
constexpr std::uint8_t kIllegalDataAddress = 2;

struct FreeContext {
    void operator()(modbus_t* context) const {
        modbus_close(context);
        modbus_free(context);
    }
};
using Context = std::unique_ptr<modbus_t, FreeContext>;

/// The kernel gives the lowest free number, so this is what the next socket will get.
bool descriptors_left_for_select() {
    const int probe = ::open("/dev/null", O_RDONLY | O_CLOEXEC);
    if (probe >= 0) ::close(probe);
    return probe >= 0 && probe < kSelectLimit;
}

/// The library divides milliseconds in two, and refuses a whole second in the small half.
bool set_timeouts(modbus_t* context, std::chrono::milliseconds timeout) {
    const auto seconds = static_cast<std::uint32_t>(timeout.count() / 1000);
    const auto microseconds = static_cast<std::uint32_t>(timeout.count() % 1000 * 1000);
    // No time-out of its own for each next byte: then the library counts the response time-out down over the
    // whole answer (select() on Linux leaves what remains), and a slow sender cannot stretch it.
    return modbus_set_response_timeout(context, seconds, microseconds) == 0 &&
           modbus_set_byte_timeout(context, 0, 0) == 0;
}

const char* table_words(RegisterTable table) {
    switch (table) {
        case RegisterTable::input:
            return "input register";
        case RegisterTable::holding:
            return "holding register";
        case RegisterTable::discrete:
            return "discrete input";
    }
    return "register";
}

std::string range_words(const ReadGroup& group) {
    const char* what = table_words(group.table);
    if (group.count() == 1) return fmt::format("{} {}", what, group.address());
    return fmt::format("{}s {} to {}", what, group.address(), group.address() + group.count() - 1);
}

class ModbusTcp final : public Driver {
  public:
    ModbusTcp(const BusConfig& bus, std::chrono::milliseconds timeout) : bus_(bus), timeout_(timeout) {}

    Result<Done> open() override;
    PollOutcome poll() override;
    void close() override { context_.reset(); }
    Result<Done> write_coil(AllowedCoil coil, bool on) override;

  private:
    ModbusReply exchange(const ModbusRequest& request);
    bool send_all(const ModbusRequest& request);
    ModbusReply lost(std::string why);
    bool read_group(std::size_t index, PollOutcome& outcome);
    void refused(const ReadGroup& group, std::uint8_t exception, PollOutcome& outcome) const;
    static void take_bits(const ReadGroup& group, std::span<const std::uint8_t> bytes, PollOutcome& outcome);
    void take_values(const ReadGroup& group, std::span<const std::uint8_t> bytes, PollOutcome& outcome) const;

    BusConfig bus_;
    std::chrono::milliseconds timeout_;
    Context context_;
    std::vector<ReadGroup> groups_;
    std::uint16_t transaction_ = 0;
    std::string why_closed_ = "not connected";  ///< so that a poll after a failed coil still says why
    std::array<std::uint8_t, MODBUS_TCP_MAX_ADU_LENGTH> answer_{};
};

Result<Done> ModbusTcp::open() {
    close();
    if (!descriptors_left_for_select()) return Error{"too many open files for Modbus (1024 is the limit)"};
    Context context(modbus_new_tcp_pi(bus_.host.c_str(), std::to_string(bus_.port).c_str()));
    if (!context || !set_timeouts(context.get(), timeout_))
        return Error{fmt::format("host {}: not usable", bus_.host)};
    errno = 0;
    if (modbus_connect(context.get()) != 0) {
        // The library leaves EINPROGRESS behind when connecting took too long.
        const char* why = errno == EINPROGRESS ? "no answer in time" : modbus_strerror(errno);
        return Error{fmt::format("cannot connect to {}:{}: {}", bus_.host, bus_.port, why)};
    }
    context_ = std::move(context);
    groups_ = plan_reads(bus_);
    return Done{};
}

PollOutcome ModbusTcp::poll() {
    if (!context_) return {Link::down, {}, std::nullopt, why_closed_};
    PollOutcome outcome;
    outcome.link = Link::up;
    // The list may grow while it is walked: a refused group is split (modbus_plan.hpp).
    for (std::size_t i = 0; i < groups_.size(); ++i)
        if (!read_group(i, outcome)) return {Link::down, {}, std::nullopt, outcome.complaint};
    return outcome;
}

/// False when the link is lost.
bool ModbusTcp::read_group(std::size_t index, PollOutcome& outcome) {
    for (;;) {
        const ReadGroup& group = groups_[index];
        const ModbusReply reply = exchange(
            read_request(++transaction_, group.unit_id, group.table, group.address(), group.count()));
        if (reply.kind == ModbusReply::Kind::broken) {
            outcome.complaint =
                fmt::format("{} (unit {}, {})", reply.fault, group.unit_id, range_words(group));
            return false;
        }
        if (reply.kind == ModbusReply::Kind::data) {
            if (group.table == RegisterTable::discrete)
                take_bits(group, reply.values, outcome);
            else
                take_values(group, reply.values, outcome);
            return true;
        }
        auto halves = reply.exception == kIllegalDataAddress ? split(group) : std::nullopt;
        if (!halves) {
            refused(group, reply.exception, outcome);
            return true;
        }
        groups_[index] = std::move(halves->first);
        groups_.insert(groups_.begin() + static_cast<std::ptrdiff_t>(index) + 1, std::move(halves->second));
    }
}

void ModbusTcp::refused(const ReadGroup& group, std::uint8_t exception, PollOutcome& outcome) const {
    for (const ReadItem& item : group.items) {
        if (item.channel)
            outcome.readings.push_back({bus_.channels[*item.channel].channel, 0, Quality::bad_reply});
        if (item.button) outcome.inputs.push_back({*item.button, std::nullopt});
    }
    outcome.complaint = fmt::format("unit {} refuses {}: {} (exception {})", group.unit_id,
                                    range_words(group), exception_words(exception), exception);
}

void ModbusTcp::take_values(const ReadGroup& group, std::span<const std::uint8_t> bytes,
                            PollOutcome& outcome) const {
    const auto word = [&](std::size_t place) {
        return static_cast<std::uint16_t>(bytes[2 * place] << 8U | bytes[2 * place + 1]);
    };
    for (const ReadItem& item : group.items) {
        const std::size_t place = item.address - group.address();
        const std::uint16_t first = word(place);
        const std::uint16_t second = item.width == 2 ? word(place + 1) : std::uint16_t{0};
        if (item.channel)
            outcome.readings.push_back(decode_registers(bus_.channels[*item.channel], first, second));
        else
            outcome.machine_ms = static_cast<std::uint32_t>(first) << 16U | second;
    }
}

void ModbusTcp::take_bits(const ReadGroup& group, std::span<const std::uint8_t> bytes, PollOutcome& outcome) {
    for (const ReadItem& item : group.items) {
        const std::size_t place = item.address - group.address();
        outcome.inputs.push_back({item.button.value_or(0), (bytes[place / 8] >> (place % 8) & 1U) != 0});
    }
}

Result<Done> ModbusTcp::write_coil(AllowedCoil coil, bool on) {
    const ModbusReply reply = exchange(coil_request(++transaction_, own_unit(bus_), coil.address(), on));
    if (reply.kind == ModbusReply::Kind::data) return Done{};
    if (reply.kind == ModbusReply::Kind::broken) return Error{reply.fault};
    return Error{fmt::format("the device refuses coil {}: {} (exception {})", coil.address(),
                             exception_words(reply.exception), reply.exception)};
}

ModbusReply ModbusTcp::lost(std::string why) {
    close();
    why_closed_ = std::move(why);
    return {ModbusReply::Kind::broken, 0, {}, why_closed_};
}

bool ModbusTcp::send_all(const ModbusRequest& request) {
    // Twelve bytes into an idle connection go in one piece, or the connection is no good.
    return ::send(modbus_get_socket(context_.get()), request.data(), request.size(),
                  MSG_NOSIGNAL | MSG_DONTWAIT) == static_cast<ssize_t>(request.size());
}

/// One question and its answer. A broken one closes the link: nothing that still arrives can be believed.
ModbusReply ModbusTcp::exchange(const ModbusRequest& request) {
    if (!context_) return {ModbusReply::Kind::broken, 0, {}, why_closed_};
    if (!send_all(request)) return lost("the connection is lost");
    const int length = modbus_receive_confirmation(context_.get(), answer_.data());
    if (length < 0) {
        const int error = errno;
        return lost(error == ETIMEDOUT ? "no whole answer in time" : modbus_strerror(error));
    }
    ModbusReply reply = check_reply(request, std::span(answer_).first(static_cast<std::size_t>(length)));
    if (reply.kind == ModbusReply::Kind::broken) return lost(std::move(reply.fault));
    return reply;
}

}  // namespace

std::unique_ptr<Driver> make_modbus_tcp(const BusConfig& bus, std::chrono::milliseconds timeout) {
    return std::make_unique<ModbusTcp>(bus, timeout);
}

}  // namespace drumwatch
