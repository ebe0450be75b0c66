// A port on which the page will be offered: taken before anything else is begun, so that a second daemon
// fails before it has touched a record. Connections wait in it until a Server takes it over.
#pragma once

#include <cstdint>
#include <string>
#include <utility>

#include "core/result.hpp"

namespace drumwatch {

class ListeningPort {
  public:
    /// `port` 0: the kernel's choice. The error says who else may have it and what to do.
    static Result<ListeningPort> open(const std::string& host, std::uint16_t port);
    ListeningPort(ListeningPort&& other) noexcept
        : socket_(std::exchange(other.socket_, -1)), port_(other.port_), v6_(other.v6_) {}
    ListeningPort& operator=(ListeningPort&& other) noexcept;
    ~ListeningPort();

    std::uint16_t port() const { return port_; }
    bool v6() const { return v6_; }
    int release() { return std::exchange(socket_, -1); }  ///< the caller closes it

  private:
    ListeningPort(int socket, std::uint16_t port, bool v6) : socket_(socket), port_(port), v6_(v6) {}
    int socket_;
    std::uint16_t port_;
    bool v6_;
};

}  // namespace drumwatch
