// Cuts a stream of bytes into lines and keeps the newest.
//
// PURE; one thread. A line ends with CR, LF or both; empty lines mean nothing. What stands before the first
// line end is thrown away, for it may be the tail of a line that began before we listened: "87.4" of "187.4"
// looks like a temperature. A line longer than kMaxLine is thrown away up to its end: a device at another
// baud rate may never send one.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace drumwatch {

class LineBuffer {
  public:
    static constexpr std::size_t kMaxLine = 512;

    void take(std::string_view bytes) {
        for (const char byte : bytes) take(byte);
    }
    bool has_line() const { return newest_.has_value(); }
    /// The newest complete line, once; older ones are gone.
    std::optional<std::string> newest() { return std::exchange(newest_, std::nullopt); }
    std::uint64_t overlong() const { return overlong_; }
    /// How many lines have ended, those thrown away among them.
    std::uint64_t ended() const { return ended_; }

  private:
    void take(char byte) {
        if (byte == '\n' || byte == '\r') {
            if (!skipping_ && !line_.empty()) newest_ = line_;
            if (any_) ++ended_;
            any_ = skipping_ = false;
            line_.clear();
            return;
        }
        any_ = true;
        if (!skipping_ && line_.size() == kMaxLine) {
            skipping_ = true;
            ++overlong_;
        } else if (!skipping_) {
            line_.push_back(byte);
        }
    }

    std::string line_;
    std::optional<std::string> newest_;
    bool skipping_ = true;
    bool any_ = false;  ///< the line has bytes, kept or not
    std::uint64_t ended_ = 0;
    std::uint64_t overlong_ = 0;
};

}  // namespace drumwatch
