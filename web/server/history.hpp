// The last three quarters of an hour in fixed memory (every channel's value and what the follower said of
// it), so that a tablet that comes back misses nothing. Fed and read on the web thread.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

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
    History(std::size_t points, std::int64_t tick_ms, const ChannelTable& channels);

    void push(const Snapshot& snapshot);  ///< a new watch whose ticks begin anew empties the ring
    /// Points of this watch that are newer than `id`.
    std::size_t count_after(StreamId id) const;
    /// The columns of /api/history as JSON text: what is newer than `after`; without it, or with an id of
    /// another watch, the roast in the drum or the last six minutes, whichever is longer. The live stream's
    /// event leaves out the columns of single channels.
    std::string json(std::optional<StreamId> after, bool with_channels) const;

  private:
    struct Point {
        std::uint64_t sequence;
        std::uint64_t roast;  ///< 0: none in the drum
        std::int64_t t_ms;
        std::array<Milli, kMaxChannels> values;
        std::uint16_t good;  ///< bits: which of them are
        float deviation_c;   ///< this and the following: NaN where there is none
        float corridor_c;
        float rise_per_min;
    };
    void append_channel(std::string& out, const Point& point, std::size_t channel) const;
    std::size_t first_after(StreamId id) const;
    std::size_t first_of_present() const;

    RingBuffer<Point> ring_;
    std::int64_t tick_ms_;
    std::vector<std::string> names_;
    std::optional<std::size_t> bean_;
    std::uint64_t watch_ = 0;
    std::optional<std::int64_t> charge_ms_;
};

}  // namespace drumwatch
