// The last three quarters of an hour as compact points in fixed memory, so that a tablet that comes back
// misses nothing. Fed and read on the web thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/ring_buffer.hpp"
#include "core/snapshot.hpp"

namespace drumwatch {

/// Names one snapshot: "WATCH-SEQUENCE", the id of its event.
struct StreamId {
    std::uint64_t watch = 0;
    std::uint64_t sequence = 0;
};
std::string stream_id_text(StreamId id);
std::optional<StreamId> parse_stream_id(std::string_view text);

class History {
  public:
    /// `bean`: index of the bean channel, if the station has one.
    History(std::size_t points, std::int64_t tick_ms, std::optional<std::size_t> bean)
        : ring_(points), tick_ms_(tick_ms), bean_(bean) {}

    void push(const Snapshot& snapshot);  ///< a new watch empties the ring: its ticks begin anew
    /// Points of this watch that are newer than `id`.
    std::size_t count_after(StreamId id) const;
    /// The columns of /api/history as JSON text: what is newer than `after`; without it, or with an id of
    /// another watch, the roast in the drum or the last six minutes, whichever is longer.
    std::string json(std::optional<StreamId> after) const;

  private:
    struct Point {
        std::uint64_t sequence;
        std::uint64_t roast;  ///< 0: none in the drum
        std::int64_t t_ms;
        double bean_c;  ///< this and the following: NaN where there is none
        float deviation_c;
        float corridor_c;
        float rise_per_min;
    };
    std::size_t first_after(StreamId id) const;
    std::size_t first_of_present() const;

    RingBuffer<Point> ring_;
    std::int64_t tick_ms_;
    std::optional<std::size_t> bean_;
    std::uint64_t watch_ = 0;
    std::optional<std::int64_t> charge_ms_;
};

}  // namespace drumwatch
