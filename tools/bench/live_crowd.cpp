#include "live_crowd.hpp"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <string>
#include <vector>

namespace drumwatch {
namespace {

constexpr int kLook_ms = 100;
constexpr int kSmallBuffer_bytes = 4096;

sockaddr_in place(std::uint32_t address, std::uint16_t port) {
    sockaddr_in place{};
    place.sin_family = AF_INET;
    place.sin_addr.s_addr = htonl(address);
    place.sin_port = htons(port);
    return place;
}

/// -1: nobody listens.
int follow(std::uint16_t port, int number, bool small_buffer) {
    const int line = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (small_buffer)
        ::setsockopt(line, SOL_SOCKET, SO_RCVBUF, &kSmallBuffer_bytes, sizeof kSmallBuffer_bytes);
    const sockaddr_in mine = place(INADDR_LOOPBACK + static_cast<std::uint32_t>(number), 0);
    const sockaddr_in theirs = place(INADDR_LOOPBACK, port);
    const std::string request = fmt::format(
        "GET /api/live HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nAccept: text/event-stream\r\n\r\n", port);
    const bool ok =
        ::bind(line, reinterpret_cast<const sockaddr*>(&mine), sizeof mine) == 0 &&
        ::connect(line, reinterpret_cast<const sockaddr*>(&theirs), sizeof theirs) == 0 &&
        ::send(line, request.data(), request.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(request.size());
    if (ok) return line;
    ::close(line);
    return -1;
}

}  // namespace

LiveCrowd::LiveCrowd(std::uint16_t port, int pages)
    : pages_([this, port, pages] { read_all(port, pages); }), slow_([this, port] { read_slowly(port); }) {}

LiveCrowd::~LiveCrowd() {
    ending_ = true;
    pages_.join();
    slow_.join();
}

void LiveCrowd::read_all(std::uint16_t port, int pages) {
    std::vector<pollfd> lines;
    for (int i = 0; i < pages; ++i) lines.push_back({follow(port, i + 1, false), POLLIN, 0});
    std::array<char, 65536> buffer{};
    while (!ending_) {
        ::poll(lines.data(), lines.size(), kLook_ms);
        for (std::size_t i = 0; i < lines.size(); ++i) {
            if (lines[i].revents == 0) continue;
            const ssize_t count = ::recv(lines[i].fd, buffer.data(), buffer.size(), MSG_DONTWAIT);
            if (count > 0) bytes_ += static_cast<std::uint64_t>(count);
            if (count > 0) continue;
            ::close(lines[i].fd);
            ++let_go_;
            lines[i].fd = follow(port, static_cast<int>(i) + 1, false);
        }
    }
    for (const pollfd& line : lines) ::close(line.fd);
}

void LiveCrowd::read_slowly(std::uint16_t port) {
    int line = follow(port, 200, true);
    for (int looks = 1; !ending_; ++looks) {
        std::this_thread::sleep_for(std::chrono::milliseconds(kLook_ms));
        if (looks % (1000 / kLook_ms) != 0) continue;
        char byte = 0;
        if (::recv(line, &byte, 1, MSG_DONTWAIT) != 0) continue;
        ::close(line);
        ++let_go_;
        line = follow(port, 200, true);
    }
    ::close(line);
}

}  // namespace drumwatch
