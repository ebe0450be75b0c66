#include "record/bits.hpp"

namespace drumwatch {

void BitWriter::bits(std::uint64_t value, unsigned width) {
    while (width > 0) {
        if (free_ == 0) {
            bytes_.push_back('\0');
            free_ = 8;
        }
        const unsigned take = width < free_ ? width : free_;
        const auto part = static_cast<unsigned>((value >> (width - take)) & ((1U << take) - 1));
        const auto last = static_cast<unsigned char>(bytes_.back());
        bytes_.back() = static_cast<char>(static_cast<unsigned char>(last | (part << (free_ - take))));
        free_ -= take;
        width -= take;
    }
}

void BitWriter::number(std::uint64_t value) {
    do {
        const bool more = value >= 16;
        bits((more ? 16U : 0U) | (value & 15), 5);
        value >>= 4;
    } while (value != 0);
}

std::uint64_t BitReader::bits(unsigned width) {
    if (width > left()) {
        at_ = bytes_.size() * 8;
        ended_ = true;
        return 0;
    }
    std::uint64_t value = 0;
    while (width > 0) {
        const auto room = static_cast<unsigned>(8 - at_ % 8);
        const unsigned take = width < room ? width : room;
        const unsigned part = (bytes_[at_ / 8] >> (room - take)) & ((1U << take) - 1);
        value = (value << take) | part;
        at_ += take;
        width -= take;
    }
    return value;
}

std::uint64_t BitReader::number() {
    std::uint64_t value = 0;
    for (unsigned shift = 0; shift < 64; shift += 4) {
        const std::uint64_t group = bits(5);
        value |= (group & 15) << shift;
        if ((group & 16) == 0) return value;
    }
    ended_ = true;  // longer than any number that was written
    return 0;
}

}  // namespace drumwatch
