// A TCP server on loopback that does byte for byte what a test tells it: the device that misbehaves.
//
// Each connection has a thread of its own. For each request (one whole Modbus TCP frame, cut by the length in
// its header) the script is called on that thread, so it must stand being called by several. The destructor
// ends it all at once, even in the middle of a pause.
#pragma once

#include <atomic>
#include <chrono>
#include <cstdint>
#include <functional>
#include <mutex>
#include <string_view>
#include <thread>
#include <vector>

namespace drumwatch {

using Bytes = std::vector<std::uint8_t>;

/// "00 01 AB" -> bytes; blanks mean nothing.
Bytes from_hex(std::string_view hex);

class RawServer {
  public:
    class Connection {
      public:
        void send(const Bytes& bytes);
        void pause(std::chrono::milliseconds how_long);  ///< returns early when the server ends
        void close() { open_ = false; }
        bool open() const { return open_; }

      private:
        friend class RawServer;
        int socket_ = -1;
        int stop_ = -1;
        bool open_ = true;
    };
    using Script = std::function<void(Connection&, const Bytes& request)>;

    explicit RawServer(Script script);
    ~RawServer();
    RawServer(const RawServer&) = delete;
    RawServer& operator=(const RawServer&) = delete;

    std::uint16_t port() const { return port_; }
    int connections() const { return connections_; }
    std::vector<Bytes> requests() const;

  private:
    void serve();
    void talk(int socket);

    Script script_;
    int listener_ = -1;
    int stop_read_ = -1;
    int stop_write_ = -1;
    std::uint16_t port_ = 0;
    std::atomic<int> connections_ = 0;
    mutable std::mutex mutex_;
    std::vector<Bytes> requests_;
    std::vector<std::thread> talks_;  ///< touched by thread_ only, until that has ended
    std::thread thread_;
};

}  // namespace drumwatch
