#include "simulator/faces/modbus_server.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <modbus/modbus.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <deque>

#include "simulator/faces/registers.hpp"

namespace drumwatch::simulator {
namespace {

using SteadyClock = std::chrono::steady_clock;

constexpr std::uint8_t kUnit = 1;
constexpr std::chrono::milliseconds kSlowReply{2000};
constexpr std::size_t kMostClients = 32;
constexpr std::size_t kUnitAt = 6, kFunctionAt = 7, kAddressAt = 8, kCountAt = 10;

struct Request {
    std::array<std::uint8_t, MODBUS_TCP_MAX_ADU_LENGTH> bytes{};
    int length = 0;
    SteadyClock::time_point due;
    std::uint8_t function() const { return bytes[kFunctionAt]; }
    int word(std::size_t at) const { return bytes[at] * 256 + bytes[at + 1]; }
    bool covers_time() const {
        return function() == MODBUS_FC_READ_HOLDING_REGISTERS && word(kAddressAt) <= kTimeRegister &&
               word(kAddressAt) + word(kCountAt) >= kTimeRegister + 2;
    }
};

struct ContextDeleter {
    void operator()(modbus_t* context) const {
        modbus_close(context);
        modbus_free(context);
    }
};
struct MappingDeleter {
    void operator()(modbus_mapping_t* mapping) const { modbus_mapping_free(mapping); }
};

struct Client {
    int socket = -1;
    std::unique_ptr<modbus_t, ContextDeleter> context;
    std::deque<Request> held;
    bool lost = false;
};

bool function_served(std::uint8_t function) {
    switch (function) {
        case MODBUS_FC_READ_COILS:
        case MODBUS_FC_READ_DISCRETE_INPUTS:
        case MODBUS_FC_READ_HOLDING_REGISTERS:
        case MODBUS_FC_READ_INPUT_REGISTERS:
        case MODBUS_FC_WRITE_SINGLE_COIL:
        case MODBUS_FC_WRITE_MULTIPLE_COILS:
            return true;
        default:
            return false;
    }
}

int listen_on(const std::string& host, int port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    if (inet_pton(AF_INET, host.c_str(), &address.sin_addr) != 1) {
        throw SetupError(host + " is no numeric IPv4 address");
    }
    const int descriptor = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    const int on = 1;
    setsockopt(descriptor, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (bind(descriptor, reinterpret_cast<sockaddr*>(&address), sizeof address) != 0 ||
        listen(descriptor, 8) != 0) {
        const std::string why = std::strerror(errno);
        close(descriptor);
        throw SetupError("cannot listen on " + host + ":" + std::to_string(port) + ": " + why +
                         " (--port 0 lets the kernel choose a free one)");
    }
    return descriptor;
}

int port_of(int descriptor) {
    sockaddr_in address{};
    socklen_t size = sizeof address;
    getsockname(descriptor, reinterpret_cast<sockaddr*>(&address), &size);
    return ntohs(address.sin_port);
}

}  // namespace

struct ModbusServer::Impl {
    std::string host;
    int port = 0;
    int listener = -1;
    Floor& floor;
    Hooks hooks;
    std::vector<std::unique_ptr<Client>> clients;
    std::unique_ptr<modbus_mapping_t, MappingDeleter> mapping{
        modbus_mapping_new(kCoilCount, kButtonCount, kHoldingCount, kInputCount)};
    std::int64_t heartbeat_changes = 0;

    Impl(const std::string& at, int wanted_port, Floor& of, Hooks with)
        : host(at), listener(listen_on(at, wanted_port)), floor(of), hooks(std::move(with)) {
        port = port_of(listener);
    }
    ~Impl() {
        if (listener >= 0) close(listener);
    }

    void follow_connection_fault();
    void accept_all();
    void receive(Client& client);
    void handle(Client& client, Request& request);
    void answer(Client& client, Request& request);
    void note_coils(const std::array<std::uint8_t, kCoilCount>& before);
    void answer_held(Client& client);
};

void ModbusServer::Impl::follow_connection_fault() {
    const bool refuse = floor.fault_active(FaultKind::drop_connections);
    if (refuse && listener >= 0) {
        close(listener);  // first, or who is thrown out might come back in at once
        listener = -1;
        clients.clear();
    } else if (!refuse && listener < 0) {
        listener = listen_on(host, port);
    }
}

void ModbusServer::Impl::accept_all() {
    while (true) {
        const int descriptor = accept4(listener, nullptr, nullptr, SOCK_CLOEXEC);
        if (descriptor < 0) return;
        if (clients.size() >= kMostClients) {
            close(descriptor);
            continue;
        }
        const int on = 1;
        setsockopt(descriptor, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
        auto client = std::make_unique<Client>();
        client->socket = descriptor;
        client->context.reset(modbus_new_tcp("127.0.0.1", 1502));
        modbus_set_socket(client->context.get(), descriptor);
        modbus_set_indication_timeout(client->context.get(), 0, 500000);
        modbus_set_byte_timeout(client->context.get(), 0, 200000);
        // The library sleeps for the response timeout after a refused quantity.
        modbus_set_response_timeout(client->context.get(), 0, 1000);
        clients.push_back(std::move(client));
    }
}

void ModbusServer::Impl::receive(Client& client) {
    Request request;
    request.length = modbus_receive(client.context.get(), request.bytes.data());
    if (request.length < 0 || request.word(2) != 0) {
        client.lost = true;
        return;
    }
    if (request.length == 0 || request.bytes[kUnitAt] != kUnit) return;
    if (hooks.before_request) hooks.before_request();
    if (floor.fault_active(FaultKind::dead_bus)) return;
    if (floor.fault_active(FaultKind::slow_reply) || !client.held.empty()) {
        request.due = SteadyClock::now() + kSlowReply;
        if (client.held.size() < 64) client.held.push_back(request);
        return;
    }
    handle(client, request);
}

void ModbusServer::Impl::handle(Client& client, Request& request) {
    if (floor.fault_active(FaultKind::exception)) {
        modbus_reply_exception(client.context.get(), request.bytes.data(),
                               MODBUS_EXCEPTION_SLAVE_OR_SERVER_FAILURE);
        return;
    }
    if (!function_served(request.function())) {
        modbus_reply_exception(client.context.get(), request.bytes.data(), MODBUS_EXCEPTION_ILLEGAL_FUNCTION);
        // The library does not know how long an unknown request is: throw away what the header says is left
        // of it.
        std::array<std::uint8_t, 260> rest{};
        const int left = request.word(4) + 6 - request.length;
        if (left > 0)
            recv(client.socket, rest.data(),
                 std::min<std::size_t>(rest.size(), static_cast<std::size_t>(left)), MSG_DONTWAIT);
        return;
    }
    answer(client, request);
}

void ModbusServer::Impl::answer(Client& client, Request& request) {
    const Registers now = registers_of(floor);
    std::copy(now.input.begin(), now.input.end(), mapping->tab_input_registers);
    std::copy(now.holding.begin(), now.holding.end(), mapping->tab_registers);
    std::copy_n(mapping->tab_bits + kFirstPress, kButtonCount, mapping->tab_input_bits);
    std::array<std::uint8_t, kCoilCount> before{};
    std::copy_n(mapping->tab_bits, kCoilCount, before.begin());
    const bool time_read = request.covers_time();
    if (floor.fault_active(FaultKind::wrong_unit)) request.bytes[kUnitAt] = kUnit + 1;
    const bool reads_registers = request.function() == MODBUS_FC_READ_HOLDING_REGISTERS ||
                                 request.function() == MODBUS_FC_READ_INPUT_REGISTERS;
    if (floor.fault_active(FaultKind::short_reply) && reads_registers && request.word(kCountAt) > 1) {
        request.bytes[kCountAt + 1] = static_cast<std::uint8_t>(request.bytes[kCountAt + 1] / 2);
    }
    if (modbus_reply(client.context.get(), request.bytes.data(), request.length, mapping.get()) < 0) {
        if (errno == EPIPE || errno == ECONNRESET || errno == EBADF) client.lost = true;
        return;
    }
    note_coils(before);
    if (time_read && hooks.after_time_read) hooks.after_time_read();
}

void ModbusServer::Impl::note_coils(const std::array<std::uint8_t, kCoilCount>& before) {
    constexpr std::size_t kHeartbeat = 1;
    if (mapping->tab_bits[kHeartbeat] != before[kHeartbeat]) ++heartbeat_changes;
    for (std::size_t i = 0; i < before.size(); ++i) {
        if (i == kHeartbeat || mapping->tab_bits[i] == before[i]) continue;
        floor.note("coil", {{"coil", static_cast<std::int64_t>(i)},
                            {"on", mapping->tab_bits[i] != 0},
                            {"heartbeat_changes", heartbeat_changes}});
    }
}

void ModbusServer::Impl::answer_held(Client& client) {
    while (!client.held.empty() && client.held.front().due <= SteadyClock::now() && !client.lost) {
        handle(client, client.held.front());
        client.held.pop_front();
    }
}

ModbusServer::ModbusServer(const std::string& host, int port, Floor& floor, Hooks hooks)
    : impl_(std::make_unique<Impl>(host, port, floor, std::move(hooks))) {}
ModbusServer::~ModbusServer() = default;

int ModbusServer::port() const { return impl_->port; }
std::int64_t ModbusServer::heartbeat_changes() const { return impl_->heartbeat_changes; }

void ModbusServer::wait_for(std::vector<pollfd>& descriptors) const {
    if (impl_->listener >= 0) descriptors.push_back({impl_->listener, POLLIN, 0});
    for (const auto& client : impl_->clients) descriptors.push_back({client->socket, POLLIN, 0});
}

int ModbusServer::due_in_ms() const {
    int soonest = -1;
    for (const auto& client : impl_->clients) {
        if (client->held.empty()) continue;
        const auto left =
            std::chrono::ceil<std::chrono::milliseconds>(client->held.front().due - SteadyClock::now());
        const int left_ms = std::max(0, static_cast<int>(left.count()));
        if (soonest < 0 || left_ms < soonest) soonest = left_ms;
    }
    return soonest;
}

void ModbusServer::serve(const std::vector<pollfd>& descriptors) {
    const auto ready = [&](int descriptor) {
        return std::any_of(descriptors.begin(), descriptors.end(),
                           [&](const pollfd& p) { return p.fd == descriptor && p.revents != 0; });
    };
    impl_->follow_connection_fault();
    for (const auto& client : impl_->clients) {
        if (ready(client->socket)) impl_->receive(*client);
        impl_->answer_held(*client);
    }
    std::erase_if(impl_->clients, [](const auto& client) { return client->lost; });
    if (impl_->listener >= 0 && ready(impl_->listener)) impl_->accept_all();
}

}  // namespace drumwatch::simulator
