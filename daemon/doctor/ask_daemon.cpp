#include "doctor/ask_daemon.hpp"

#include <fmt/format.h>
#include <netdb.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <memory>

namespace drumwatch {

namespace {

constexpr timeval kPatience{3, 0};
constexpr std::size_t kLongest = 4 * 1024 * 1024;

class Line {
  public:
    Line() = default;
    ~Line() {
        if (socket_ >= 0) ::close(socket_);
    }
    Line(const Line&) = delete;
    Line& operator=(const Line&) = delete;

    bool connect(const addrinfo& to) {
        socket_ = ::socket(to.ai_family, to.ai_socktype | SOCK_CLOEXEC, to.ai_protocol);
        if (socket_ < 0) return false;
        ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &kPatience, sizeof kPatience);
        ::setsockopt(socket_, SOL_SOCKET, SO_SNDTIMEO, &kPatience, sizeof kPatience);
        return ::connect(socket_, to.ai_addr, to.ai_addrlen) == 0;
    }
    bool send(const std::string& text) {
        return ::send(socket_, text.data(), text.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(text.size());
    }
    /// Until the other side closes, or takes too long.
    std::string read_all() {
        std::string all;
        std::array<char, 16384> part{};
        for (ssize_t size = 1; size > 0 && all.size() < kLongest;) {
            size = ::recv(socket_, part.data(), part.size(), 0);
            if (size > 0) all.append(part.data(), static_cast<std::size_t>(size));
        }
        return all;
    }

  private:
    int socket_ = -1;
};

}  // namespace

Result<std::string> ask_daemon(const WebConfig& web, const std::string& path) {
    addrinfo wanted{};
    wanted.ai_socktype = SOCK_STREAM;
    addrinfo* found = nullptr;
    const std::string port = std::to_string(web.port);
    if (const int error = ::getaddrinfo(web.host.c_str(), port.c_str(), &wanted, &found); error != 0)
        return Error{::gai_strerror(error)};
    const std::unique_ptr<addrinfo, decltype(&::freeaddrinfo)> keep(found, ::freeaddrinfo);
    Line line;
    if (!line.connect(*found)) return Error{std::strerror(errno)};
    const bool v6 = found->ai_family == AF_INET6;
    const std::string host = v6 ? "[" + web.host + "]" : web.host;
    if (!line.send(
            fmt::format("GET {} HTTP/1.1\r\nHost: {}:{}\r\nConnection: close\r\n\r\n", path, host, port)))
        return Error{std::strerror(errno)};
    const std::string answer = line.read_all();
    const auto body = answer.find("\r\n\r\n");
    if (!answer.starts_with("HTTP/1.1 200 ") || body == std::string::npos)
        return Error{answer.empty() ? "no answer" : answer.substr(0, answer.find("\r\n"))};
    return answer.substr(body + 4);
}

}  // namespace drumwatch
