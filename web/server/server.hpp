// The HTTP server: page, API, live stream. One thread and io_context of its own; sees published snapshots
// only, so that nothing a browser does can delay the tick.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "web/api.hpp"
#include "web/listening_port.hpp"

namespace drumwatch {

struct ServerSettings {
    std::string host = "127.0.0.1";
    std::vector<std::string> allowed_hosts;
    std::size_t history_points = 10'800;  ///< ring buffer: 45 minutes at 4 Hz
};

class Server {
  public:
    static std::unique_ptr<Server> start(ListeningPort port, ServerSettings settings, StationFacts facts,
                                         Api api);
    virtual ~Server() = default;  ///< closes every connection, joins
    virtual std::uint16_t port() const = 0;
    /// Before the first publish: what happened before a restart, for the history. `replay` gives it, oldest
    /// first, to what it is given; it runs on the web thread.
    using Replay = std::function<void(const std::function<void(const Snapshot&)>&)>;
    virtual void remember(Replay replay) = 0;
    virtual void publish(Published now) = 0;  ///< any thread; never blocks
};

}  // namespace drumwatch
