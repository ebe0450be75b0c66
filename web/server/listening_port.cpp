#include "web/listening_port.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <boost/asio.hpp>

namespace drumwatch {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

namespace {

std::string complaint(const std::string& host, std::uint16_t port, error_code error) {
    const std::string where = fmt::format("{} port {}", host, port);
    if (error == asio::error::address_in_use) {
        return fmt::format(
            "{} is in use: another Drumwatch, or another program, listens there (\"ss -ltnp\" shows "
            "which). Stop it, or give web.port another number in the configuration file.",
            where);
    }
    if (error == asio::error::access_denied) {
        return fmt::format("{} needs rights that this user lacks. Give web.port a number from 1024 up.",
                           where);
    }
    return fmt::format(
        "The page can't be offered on {}: {}. Look at web.host and web.port in the "
        "configuration file; web.host must be a name or address of this machine.",
        where, error.message());
}

void listen(tcp::acceptor& acceptor, const tcp::endpoint& endpoint, error_code& error) {
    acceptor.open(endpoint.protocol(), error);
    if (error) return;
    ::fcntl(acceptor.native_handle(), F_SETFD, FD_CLOEXEC);
    acceptor.set_option(asio::socket_base::reuse_address(true), error);
    acceptor.bind(endpoint, error);
    if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
}

}  // namespace

Result<ListeningPort> ListeningPort::open(const std::string& host, std::uint16_t port) {
    asio::io_context io;
    tcp::resolver resolver(io);
    error_code error;
    const auto found = resolver.resolve(host, std::to_string(port),
                                        tcp::resolver::passive | tcp::resolver::numeric_service, error);
    if (error) return Error{complaint(host, port, error)};
    const tcp::endpoint endpoint = *found.begin();
    tcp::acceptor acceptor(io);
    listen(acceptor, endpoint, error);
    const std::uint16_t taken = error ? std::uint16_t{0} : acceptor.local_endpoint(error).port();
    if (error) return Error{complaint(host, port, error)};
    const int socket = acceptor.release(error);
    if (error) return Error{complaint(host, port, error)};
    return ListeningPort(socket, taken, endpoint.protocol() == tcp::v6());
}

ListeningPort& ListeningPort::operator=(ListeningPort&& other) noexcept {
    std::swap(socket_, other.socket_);
    port_ = other.port_;
    v6_ = other.v6_;
    return *this;
}

ListeningPort::~ListeningPort() {
    if (socket_ >= 0) ::close(socket_);
}

}  // namespace drumwatch
