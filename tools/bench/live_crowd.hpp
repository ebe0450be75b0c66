// Pages that follow a station's live stream and read all that comes, and one on a network so slow that it
// reads a byte a second. Each from an address of its own, as tablets are. A page that the server lets go
// comes back.
#pragma once

#include <atomic>
#include <cstdint>
#include <thread>

namespace drumwatch {

class LiveCrowd {
  public:
    LiveCrowd(std::uint16_t port, int pages);
    ~LiveCrowd();
    LiveCrowd(const LiveCrowd&) = delete;
    LiveCrowd& operator=(const LiveCrowd&) = delete;

    std::uint64_t bytes_read() const { return bytes_; }  ///< by the pages, not the slow one
    int let_go() const { return let_go_; }  ///< how often the server closed a line, the slow one's too

  private:
    void read_all(std::uint16_t port, int pages);
    void read_slowly(std::uint16_t port);

    std::atomic<bool> ending_ = false;
    std::atomic<std::uint64_t> bytes_ = 0;
    std::atomic<int> let_go_ = 0;
    std::thread pages_;
    std::thread slow_;
};

}  // namespace drumwatch
