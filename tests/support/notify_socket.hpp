// The service manager's end of sd_notify(3): a datagram socket in a test's own directory.
#pragma once

#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstring>
#include <optional>
#include <stdexcept>
#include <string>

namespace drumwatch {

class NotifySocket {
  public:
    explicit NotifySocket(std::string path)
        : path_(std::move(path)), socket_(::socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0)) {
        sockaddr_un address{};
        address.sun_family = AF_UNIX;
        std::strncpy(address.sun_path, path_.c_str(), sizeof address.sun_path - 1);
        if (::bind(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0)
            throw std::runtime_error("the notify socket can't be bound");
    }
    ~NotifySocket() { ::close(socket_); }
    NotifySocket(const NotifySocket&) = delete;
    NotifySocket& operator=(const NotifySocket&) = delete;

    std::string variable() const { return "NOTIFY_SOCKET=" + path_; }

    /// The next message; nothing when the time is up.
    std::optional<std::string> next(std::chrono::milliseconds within) {
        pollfd waiting{socket_, POLLIN, 0};
        if (::poll(&waiting, 1, static_cast<int>(within.count())) != 1) return std::nullopt;
        std::array<char, 4096> text{};
        const ssize_t size = ::recv(socket_, text.data(), text.size(), 0);
        return size < 0 ? std::nullopt
                        : std::optional(std::string(text.data(), static_cast<std::size_t>(size)));
    }
    /// Reads on until a message has this line; what else came before it is thrown away.
    bool comes(const std::string& line, std::chrono::milliseconds within) {
        const auto give_up = std::chrono::steady_clock::now() + within;
        for (;;) {
            const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(
                give_up - std::chrono::steady_clock::now());
            if (left.count() <= 0) return false;
            const auto message = next(left);
            if (message && ("\n" + *message + "\n").find("\n" + line + "\n") != std::string::npos)
                return true;
        }
    }

  private:
    std::string path_;
    int socket_;
};

}  // namespace drumwatch
