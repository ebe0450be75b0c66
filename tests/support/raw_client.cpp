#include "support/raw_client.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>

namespace drumwatch {
namespace {

constexpr int kDeadline_ms = 20'000;

sockaddr_in address_of(const std::string& ip, std::uint16_t port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    ::inet_pton(AF_INET, ip.c_str(), &address.sin_addr);
    return address;
}

RawResponse parse_head(const std::string& head) {
    RawResponse response;
    response.head = head;
    if (head.size() > 12) response.status = std::stoi(head.substr(9, 3));
    std::size_t line = head.find("\r\n") + 2;
    while (line < head.size() - 2) {
        const std::size_t end = head.find("\r\n", line);
        const std::size_t colon = head.find(':', line);
        std::string name = head.substr(line, colon - line);
        std::transform(name.begin(), name.end(), name.begin(), [](unsigned char c) {
            return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : static_cast<char>(c);
        });
        response.fields[name] = head.substr(colon + 2, end - colon - 2);
        line = end + 2;
    }
    return response;
}

}  // namespace

RawClient::RawClient(std::uint16_t port, const std::string& from, int receive_buffer_bytes) : port_(port) {
    socket_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (receive_buffer_bytes > 0) {
        ::setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &receive_buffer_bytes, sizeof receive_buffer_bytes);
    }
    const sockaddr_in mine = address_of(from, 0);
    const sockaddr_in theirs = address_of("127.0.0.1", port);
    const bool ok = ::bind(socket_, reinterpret_cast<const sockaddr*>(&mine), sizeof mine) == 0 &&
                    ::connect(socket_, reinterpret_cast<const sockaddr*>(&theirs), sizeof theirs) == 0;
    if (!ok) {
        ::close(socket_);
        socket_ = -1;
    }
}

RawClient::~RawClient() {
    if (socket_ >= 0) ::close(socket_);
}

RawClient::RawClient(RawClient&& other) noexcept
    : socket_(other.socket_), port_(other.port_), received_(std::move(other.received_)) {
    other.socket_ = -1;
}

std::string RawClient::host() const { return "127.0.0.1:" + std::to_string(port_); }

bool RawClient::send(const std::string& text) {
    std::size_t sent = 0;
    while (sent < text.size()) {
        const ssize_t n = ::send(socket_, text.data() + sent, text.size() - sent, MSG_NOSIGNAL);
        if (n <= 0) return false;
        sent += static_cast<std::size_t>(n);
    }
    return true;
}

bool RawClient::receive_more() {
    pollfd waiting{socket_, POLLIN, 0};
    if (::poll(&waiting, 1, kDeadline_ms) <= 0) return false;
    char bytes[65536];
    const ssize_t n = ::recv(socket_, bytes, sizeof bytes, 0);
    if (n <= 0) return false;
    received_.append(bytes, static_cast<std::size_t>(n));
    return true;
}

std::string RawClient::read_until(const std::string& text) {
    std::size_t searched = 0;
    for (;;) {
        const std::size_t found = received_.find(text, searched);
        if (found != std::string::npos) {
            std::string out = received_.substr(0, found + text.size());
            received_.erase(0, found + text.size());
            return out;
        }
        searched = received_.size() > text.size() ? received_.size() - text.size() : 0;
        if (!receive_more()) return {};
    }
}

RawResponse RawClient::read_response(bool no_body) {
    const std::string head = read_until("\r\n\r\n");
    if (head.empty()) return {};
    RawResponse response = parse_head(head);
    const auto length = response.fields.find("content-length");
    if (no_body || length == response.fields.end()) return response;
    const std::size_t bytes = std::stoul(length->second);
    while (received_.size() < bytes && receive_more()) {
    }
    response.body = received_.substr(0, bytes);
    received_.erase(0, bytes);
    return response;
}

bool RawClient::is_closed() {
    for (;;) {
        pollfd waiting{socket_, POLLIN, 0};
        if (::poll(&waiting, 1, kDeadline_ms) <= 0) return false;
        char bytes[65536];
        if (::recv(socket_, bytes, sizeof bytes, 0) <= 0) return true;
    }
}

bool RawClient::is_closed_now() {
    char byte = 0;
    const ssize_t n = ::recv(socket_, &byte, 1, MSG_PEEK | MSG_DONTWAIT);
    return n == 0 || (n < 0 && errno != EAGAIN && errno != EWOULDBLOCK);
}

RawResponse RawClient::get(const std::string& target, const std::string& more_fields) {
    if (!send("GET " + target + " HTTP/1.1\r\nHost: " + host() + "\r\n" + more_fields + "\r\n")) return {};
    return read_response();
}

bool RawClient::send_post(const std::string& target, const std::string& body) {
    return send("POST " + target + " HTTP/1.1\r\nHost: " + host() + "\r\nOrigin: http://" + host() +
                "\r\nContent-Type: application/json\r\nX-Drumwatch: 1\r\nContent-Length: " +
                std::to_string(body.size()) + "\r\n\r\n" + body);
}

RawResponse RawClient::post(const std::string& target, const std::string& body) {
    send_post(target, body);
    return read_response();
}

}  // namespace drumwatch
