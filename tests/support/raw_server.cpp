#include "support/raw_server.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <stdexcept>
#include <string>

namespace drumwatch {
namespace {

/// True when `descriptor` can be read before the server is told to stop.
bool readable(int descriptor, int stop) {
    std::array<pollfd, 2> waiting{pollfd{descriptor, POLLIN, 0}, pollfd{stop, POLLIN, 0}};
    ::poll(waiting.data(), waiting.size(), -1);
    return waiting[1].revents == 0 && waiting[0].revents != 0;
}

bool receive(int socket, int stop, Bytes& into, std::size_t size) {
    while (into.size() < size) {
        if (!readable(socket, stop)) return false;
        std::array<std::uint8_t, 512> buffer{};
        const ssize_t count = ::recv(socket, buffer.data(), size - into.size(), 0);
        if (count <= 0) return false;
        into.insert(into.end(), buffer.begin(), buffer.begin() + count);
    }
    return true;
}

}  // namespace

Bytes from_hex(std::string_view hex) {
    Bytes bytes;
    std::string digits;
    for (const char c : hex)
        if (c != ' ') digits.push_back(c);
    for (std::size_t i = 0; i + 1 < digits.size(); i += 2)
        bytes.push_back(static_cast<std::uint8_t>(std::stoi(digits.substr(i, 2), nullptr, 16)));
    return bytes;
}

void RawServer::Connection::send(const Bytes& bytes) {
    if (::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL) < 0) open_ = false;
}

void RawServer::Connection::pause(std::chrono::milliseconds how_long) {
    if (!open_) return;
    pollfd stop{stop_, POLLIN, 0};
    if (::poll(&stop, 1, static_cast<int>(how_long.count())) != 0) open_ = false;
}

RawServer::RawServer(Script script) : script_(std::move(script)) {
    std::array<int, 2> ends{};
    listener_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    auto* generic = reinterpret_cast<sockaddr*>(&address);
    if (::pipe2(ends.data(), O_CLOEXEC) != 0 || ::bind(listener_, generic, size) != 0 ||
        ::listen(listener_, 8) != 0 || ::getsockname(listener_, generic, &size) != 0)
        throw std::runtime_error("the raw server cannot listen");
    stop_read_ = ends[0];
    stop_write_ = ends[1];
    port_ = ntohs(address.sin_port);
    thread_ = std::thread([this] { serve(); });
}

RawServer::~RawServer() {
    ::close(stop_write_);  // the reading end becomes readable for good
    thread_.join();
    for (std::thread& talk : talks_) talk.join();
    ::close(stop_read_);
    ::close(listener_);
}

std::vector<Bytes> RawServer::requests() const {
    const std::lock_guard lock(mutex_);
    return requests_;
}

void RawServer::serve() {
    while (readable(listener_, stop_read_)) {
        const int socket = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
        if (socket < 0) continue;
        const int on = 1;
        ::setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
        ++connections_;
        talks_.emplace_back([this, socket] {
            talk(socket);
            ::close(socket);
        });
    }
}

void RawServer::talk(int socket) {
    Connection connection;
    connection.socket_ = socket;
    connection.stop_ = stop_read_;
    while (connection.open_) {
        Bytes request;
        if (!receive(socket, stop_read_, request, 6)) return;
        const std::size_t length = static_cast<std::size_t>(request[4]) << 8U | request[5];
        if (!receive(socket, stop_read_, request, 6 + length)) return;
        {
            const std::lock_guard lock(mutex_);
            requests_.push_back(request);
        }
        script_(connection, request);
    }
}

}  // namespace drumwatch
