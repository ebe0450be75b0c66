// A stream of bits, most significant first, for packed frames. PURE; one thread; no failure but running out.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

namespace drumwatch {

class BitWriter {
  public:
    /// The lowest `width` bits of `value`; width 0 to 64.
    void bits(std::uint64_t value, unsigned width);
    /// A number of unknown size: groups of four bits, the lowest first, each after one bit that says "more".
    void number(std::uint64_t value);
    /// The bytes so far, the last one filled up with zero bits.
    const std::string& bytes() const { return bytes_; }

  private:
    std::string bytes_;
    unsigned free_ = 0;  ///< bits still free in the last byte
};

/// Past the end every bit is 0 and ended() is true; nothing else happens.
class BitReader {
  public:
    explicit BitReader(std::span<const unsigned char> bytes) : bytes_(bytes) {}
    std::uint64_t bits(unsigned width);
    std::uint64_t number();
    bool ended() const { return ended_; }
    /// Bits not read yet.
    std::size_t left() const { return bytes_.size() * 8 - at_; }

  private:
    std::span<const unsigned char> bytes_;
    std::size_t at_ = 0;
    bool ended_ = false;
};

/// Signed to unsigned with small magnitudes first: 0, -1, 1, -2 ... become 0, 1, 2, 3 ...
constexpr std::uint64_t zigzag(std::int64_t value) {
    return (static_cast<std::uint64_t>(value) << 1) ^ static_cast<std::uint64_t>(value >> 63);
}
constexpr std::int64_t unzigzag(std::uint64_t value) {
    return static_cast<std::int64_t>((value >> 1) ^ (0 - (value & 1)));
}

}  // namespace drumwatch
