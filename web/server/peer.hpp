// One open connection as the listener sees it. Web thread only. An object lives as long as it has something
// to wait for; the listener holds a weak pointer to count it and to close it.
#pragma once

#include <chrono>
#include <cstddef>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>

#include "web/http.hpp"

// Asio itself stays in the source files.
namespace boost::asio {
class io_context;
}

namespace drumwatch {

class Site;

class Peer {
  public:
    virtual ~Peer() = default;
    virtual void close() = 0;
    /// Since when it waits for a next request; such a one may be closed to make room.
    virtual std::optional<std::chrono::steady_clock::time_point> idle_since() const { return std::nullopt; }
};

/// Posts to the web thread from any other, as long as the server lives; later posts are dropped.
class Mailbox {
  public:
    explicit Mailbox(boost::asio::io_context& io) : io_(&io) {}
    void post(std::function<void()> task);
    void close();

  private:
    std::mutex mutex_;
    boost::asio::io_context* io_;
};

/// What a connection asks of the server that accepted it.
class PeerHost {
  public:
    virtual ~PeerHost() = default;
    virtual boost::asio::io_context& io() = 0;
    virtual Site& site() = 0;
    virtual std::shared_ptr<Mailbox> mailbox() = 0;
    virtual std::size_t connections() const = 0;
    virtual std::size_t streams() const = 0;
    /// Takes over an open socket whose request opens a live stream; `from` is the connection that had it.
    virtual void begin_stream(int socket, const Request& request, const Peer* from) = 0;
};

/// Reads requests from an accepted socket and answers them, one after the other.
std::shared_ptr<Peer> start_connection(PeerHost& host, int socket);

/// A tablet that follows: it is told the newest snapshot when it can take one. Each has one write in flight
/// and a small send buffer; whoever is too slow for every tick gets the missed points in one piece later, and
/// whoever takes nothing for ten seconds is closed.
class LiveClient : public Peer {
  public:
    virtual void pump() = 0;     ///< something new may be there
    virtual void comment() = 0;  ///< keeps the line open through middle boxes
};
std::shared_ptr<LiveClient> start_live_client(PeerHost& host, int socket, const Request& request);

}  // namespace drumwatch
