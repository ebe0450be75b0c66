#include "support/modbus_relay.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <utility>

namespace drumwatch {
namespace {

constexpr std::size_t kHead = 6;

int connect_to(std::uint16_t port) {
    const int made = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const int on = 1;
    ::setsockopt(made, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    if (::connect(made, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0) return made;
    ::close(made);
    return -1;
}

bool receive(int socket, Bytes& into, std::size_t size) {
    const std::size_t had = into.size();
    into.resize(size);
    return ::recv(socket, into.data() + had, size - had, MSG_WAITALL) == static_cast<ssize_t>(size - had);
}

}  // namespace

ModbusRelay::ModbusRelay(std::uint16_t device_port, std::function<void(const Bytes&)> before)
    : device_port_(device_port),
      before_(std::move(before)),
      server_([this](RawServer::Connection& connection, const Bytes& request) {
          before_(request);
          const Bytes answer = exchange(request);
          if (answer.empty()) return connection.close();
          connection.send(answer);
      }) {}

ModbusRelay::~ModbusRelay() {
    if (device_ >= 0) ::close(device_);
}

Bytes ModbusRelay::exchange(const Bytes& request) {
    if (device_ < 0) device_ = connect_to(device_port_);
    if (device_ < 0) return {};
    Bytes answer;
    const auto size = static_cast<ssize_t>(request.size());
    if (::send(device_, request.data(), request.size(), MSG_NOSIGNAL) == size &&
        receive(device_, answer, kHead)) {
        const std::size_t length = static_cast<std::size_t>(answer[4]) << 8U | answer[5];
        if (receive(device_, answer, kHead + length)) return answer;
    }
    ::close(device_);
    device_ = -1;
    return {};
}

}  // namespace drumwatch
