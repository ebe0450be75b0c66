// The devices at the other end of a Modbus RTU line, on a pseudo-terminal: byte for byte what a test tells
// them.
//
// One thread. For each request (8 bytes: all that Drumwatch asks is so long) the script is called on it;
// while it pauses, further requests wait, as with a slow device. The destructor ends it even in a pause.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "support/raw_server.hpp"

namespace drumwatch {

/// The bytes with their CRC behind them (a bit loop of its own, held against published vectors in
/// tests/reference/modbus).
Bytes with_crc(Bytes bytes);
/// The right answer to a read of registers, `value` in each; an echo for anything else.
Bytes rtu_answer(const Bytes& request, std::uint16_t value);
Bytes rtu_refusal(const Bytes& request, std::uint8_t exception);

class RtuSlave {
  public:
    class Line {
      public:
        void send(const Bytes& bytes);
        void pause(std::chrono::milliseconds how_long);  ///< returns early when the slave ends
        bool ended() const { return ended_; }

      private:
        friend class RtuSlave;
        int device_ = -1;
        int stop_ = -1;
        bool ended_ = false;
    };
    using Script = std::function<void(Line&, const Bytes& request)>;

    explicit RtuSlave(Script script);
    ~RtuSlave();
    RtuSlave(const RtuSlave&) = delete;
    RtuSlave& operator=(const RtuSlave&) = delete;

    const std::string& path() const { return path_; }
    std::vector<Bytes> requests() const;
    /// When each request was whole.
    std::vector<std::chrono::steady_clock::time_point> times() const;

  private:
    void serve();

    Script script_;
    std::string path_;
    Line line_;
    int stop_write_ = -1;
    int kept_open_ = -1;  ///< so that a driver that closes does not hang the terminal up
    mutable std::mutex mutex_;
    std::vector<Bytes> requests_;
    std::vector<std::chrono::steady_clock::time_point> times_;
    std::thread thread_;
};

}  // namespace drumwatch
