// Keeps what the buses carry: one file a bus, for who wants to see later what was on the wire, or to play it
// again (links/playback.hpp).
//
// Threads: note() and note_bytes() are called on the bus threads and only append to memory; one thread of its
// own writes and flushes once a second, so that a slow disk delays no poll. What it could not write in time,
// beyond some MB, is dropped and told. It never fails the run: a full disk, or the cap, ends the capture with
// a sentence.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/channel.hpp"
#include "core/result.hpp"
#include "drivers/bus.hpp"
#include "drivers/byte_tap.hpp"
#include "drivers/driver.hpp"

namespace drumwatch {

struct CapturePlan {
    std::string folder;
    std::uint64_t most_bytes = 100'000'000;  ///< of all its files together
    double speed = 1;                        ///< the station's clock is so many times faster
};

class CaptureFolder {
  public:
    /// A sentence for the log; on the capture's own thread.
    using Tell = std::function<void(const std::string&)>;

    /// Makes BUS-YYYYMMDDTHHMMSSZ.jsonl for every bus, all new, or says why not.
    static Result<std::unique_ptr<CaptureFolder>> open(const CapturePlan& plan,
                                                       const std::vector<BusConfig>& buses,
                                                       const ChannelTable& channels, Tell tell);
    ~CaptureFolder();  ///< writes what waits
    CaptureFolder(const CaptureFolder&) = delete;
    CaptureFolder& operator=(const CaptureFolder&) = delete;

    /// Any thread, one for each bus; neither waits for the disk.
    void note(std::size_t bus, const PollOutcome& outcome);
    void note_bytes(std::size_t bus, ByteWay way, std::span<const std::uint8_t> bytes);
    const std::vector<std::string>& paths() const;

  private:
    struct Impl;
    explicit CaptureFolder(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
