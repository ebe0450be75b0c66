#include "record/pack.hpp"

#include <zlib.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cassert>
#include <limits>
#include <numeric>

#include "record/bits.hpp"

namespace drumwatch {
namespace {

constexpr unsigned kMostUnary = 24;
constexpr unsigned kEscapeBits = 34;  // a zigzag difference of two 32-bit values fits
constexpr unsigned kMostRice = 31;

std::uint32_t crc_of(const PackedFrames& packed) {
    std::array<unsigned char, 24> head{};
    const std::array<std::int64_t, 3> numbers{packed.from_ms, packed.to_ms, packed.count};
    for (std::size_t i = 0; i < head.size(); ++i) {
        head[i] = static_cast<unsigned char>(static_cast<std::uint64_t>(numbers[i / 8]) >> (8 * (i % 8)));
    }
    const uLong begun = crc32(0, head.data(), static_cast<uInt>(head.size()));
    const auto* body = reinterpret_cast<const Bytef*>(packed.body.data());
    return static_cast<std::uint32_t>(crc32(begun, body, static_cast<uInt>(packed.body.size())));
}

void put_ticks(BitWriter& out, std::span<const Frame> frames) {
    bool regular = true;
    for (std::size_t i = 2; i < frames.size(); ++i) {
        regular = regular && frames[i].tick - frames[i - 1].tick == frames[1].tick - frames[0].tick;
    }
    out.bits(regular ? 1 : 0, 1);
    for (std::size_t i = 1; i < frames.size() && !regular; ++i) {
        out.number(static_cast<std::uint64_t>(frames[i].tick - frames[i - 1].tick - 1));
    }
}

void put_qualities(BitWriter& out, std::span<const Frame> frames, std::size_t channel) {
    const auto quality = [&](std::size_t i) { return frames[i].samples[channel].quality; };
    const bool all_good = std::all_of(frames.begin(), frames.end(), [&](const Frame& frame) {
        return frame.samples[channel].quality == Quality::good;
    });
    out.bits(all_good ? 1 : 0, 1);
    for (std::size_t i = 0; i < frames.size() && !all_good;) {
        std::size_t end = i + 1;
        while (end < frames.size() && quality(end) == quality(i)) ++end;
        out.bits(static_cast<std::uint64_t>(quality(i)), 4);
        out.number(end - i - 1);
        i = end;
    }
}

void put_freshness(BitWriter& out, std::span<const Frame> frames, std::size_t channel) {
    const auto fresh = static_cast<std::size_t>(std::count_if(
        frames.begin(), frames.end(), [&](const Frame& frame) { return frame.samples[channel].fresh; }));
    const bool mixed = fresh != 0 && fresh != frames.size();
    out.bits(mixed ? 2 : (fresh != 0 ? 1 : 0), 2);
    for (std::size_t i = 0; i < frames.size() && mixed; ++i) out.bits(frames[i].samples[channel].fresh, 1);
}

/// The parameter that makes these differences shortest.
unsigned best_rice(std::span<const std::uint64_t> zigzags) {
    unsigned best = 0;
    std::uint64_t best_bits = std::numeric_limits<std::uint64_t>::max();
    for (unsigned k = 0; k <= kMostRice; ++k) {
        std::uint64_t bits = 0;
        for (const std::uint64_t z : zigzags) {
            bits += (z >> k) < kMostUnary ? (z >> k) + 1 + k : kMostUnary + kEscapeBits;
        }
        if (bits < best_bits) {
            best = k;
            best_bits = bits;
        }
    }
    return best;
}

void put_rice(BitWriter& out, std::uint64_t z, unsigned k) {
    if ((z >> k) >= kMostUnary) {
        out.bits(~std::uint64_t{0}, kMostUnary);
        out.bits(z, kEscapeBits);
        return;
    }
    const auto ones = static_cast<unsigned>(z >> k);
    out.bits(~std::uint64_t{0}, ones);
    out.bits(0, 1);
    out.bits(z, k);
}

void put_values(BitWriter& out, std::span<const Frame> frames, std::size_t channel) {
    std::int64_t divisor = 0;
    for (const Frame& frame : frames) {
        divisor = std::gcd(divisor, static_cast<std::int64_t>(frame.samples[channel].value_milli));
    }
    if (divisor == 0) divisor = 1;
    const auto value = [&](std::size_t i) { return frames[i].samples[channel].value_milli / divisor; };
    std::vector<std::uint64_t> zigzags;
    for (std::size_t i = 1; i < frames.size(); ++i) zigzags.push_back(zigzag(value(i) - value(i - 1)));
    const unsigned k = best_rice(zigzags);
    out.number(static_cast<std::uint64_t>(divisor));
    out.number(zigzag(value(0)));
    out.bits(k, 5);
    for (const std::uint64_t z : zigzags) put_rice(out, z, k);
}

bool take_ticks(BitReader& in, const PackedFrames& packed, std::vector<Frame>& frames) {
    const bool regular = in.bits(1) == 1;
    const std::int64_t span = packed.to_ms - packed.from_ms;
    const std::int64_t steps = packed.count - 1;
    if (regular && steps > 0 && span % steps != 0) return false;
    std::int64_t tick_ms = packed.from_ms;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        if (i > 0 && regular) tick_ms += span / steps;
        if (i > 0 && !regular) {
            const std::uint64_t step = in.number();
            if (step >= static_cast<std::uint64_t>(packed.to_ms - tick_ms)) return false;
            tick_ms += static_cast<std::int64_t>(step) + 1;
        }
        frames[i].tick = {tick_ms};
    }
    return tick_ms == packed.to_ms;
}

bool take_qualities(BitReader& in, std::vector<Frame>& frames, std::size_t channel) {
    const bool all_good = in.bits(1) == 1;
    for (std::size_t i = 0; i < frames.size();) {
        const std::uint64_t quality = all_good ? 0 : in.bits(4);
        const std::uint64_t length = all_good ? frames.size() : in.number();
        if (in.ended() || quality >= kQualities) return false;
        if (!all_good && length >= frames.size() - i) return false;
        const std::size_t end = all_good ? frames.size() : i + static_cast<std::size_t>(length) + 1;
        for (; i < end; ++i) frames[i].samples[channel].quality = static_cast<Quality>(quality);
    }
    return true;
}

bool take_freshness(BitReader& in, std::vector<Frame>& frames, std::size_t channel) {
    const std::uint64_t kind = in.bits(2);
    if (kind > 2) return false;
    for (Frame& frame : frames) frame.samples[channel].fresh = kind == 2 ? in.bits(1) == 1 : kind == 1;
    return !in.ended();
}

std::uint64_t take_rice(BitReader& in, unsigned k) {
    std::uint64_t ones = 0;
    while (ones < kMostUnary && in.bits(1) == 1) ++ones;
    if (ones == kMostUnary) return in.bits(kEscapeBits);
    return (ones << k) | in.bits(k);
}

bool take_values(BitReader& in, std::vector<Frame>& frames, std::size_t channel) {
    constexpr std::int64_t kLow = std::numeric_limits<Milli>::min();
    constexpr std::int64_t kHigh = std::numeric_limits<Milli>::max();
    const std::uint64_t divisor = in.number();
    std::int64_t value = unzigzag(in.number());
    const auto k = static_cast<unsigned>(in.bits(5));
    if (in.ended() || divisor == 0 || divisor > static_cast<std::uint64_t>(-kLow)) return false;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        if (i > 0) value += unzigzag(take_rice(in, k));
        if (in.ended() || value < kLow || value > kHigh) return false;
        const std::int64_t milli = value * static_cast<std::int64_t>(divisor);
        if (milli < kLow || milli > kHigh) return false;
        frames[i].samples[channel].value_milli = static_cast<Milli>(milli);
    }
    return true;
}

/// What pack_rows() can put into one row from the start of `frames`: same channels, not too many.
std::size_t row_length(std::span<const Frame> frames) {
    std::size_t end = 1;
    while (end < frames.size() && end < kMaxPackedFrames && frames[end].channels == frames[0].channels) ++end;
    return end;
}

}  // namespace

PackedFrames pack_frames(std::span<const Frame> frames) {
    assert(!frames.empty() && frames.size() <= kMaxPackedFrames && frames[0].channels <= kMaxChannels);
    PackedFrames packed;
    packed.from_ms = frames.front().tick.ms;
    packed.to_ms = frames.back().tick.ms;
    packed.count = static_cast<std::int64_t>(frames.size());
    BitWriter out;
    out.bits(frames[0].channels, 5);
    put_ticks(out, frames);
    for (std::size_t channel = 0; channel < frames[0].channels; ++channel) {
        put_qualities(out, frames, channel);
        put_freshness(out, frames, channel);
        put_values(out, frames, channel);
    }
    packed.body = out.bytes();
    packed.crc = crc_of(packed);
    return packed;
}

std::vector<PackedFrames> pack_rows(std::span<const Frame> frames) {
    std::vector<PackedFrames> rows;
    while (!frames.empty()) {
        std::size_t length = row_length(frames);
        PackedFrames row = pack_frames(frames.first(length));
        while (row.body.size() > kRowBytes && length > 1) {
            length = (length + 1) / 2;
            row = pack_frames(frames.first(length));
        }
        rows.push_back(std::move(row));
        frames = frames.subspan(length);
    }
    return rows;
}

Result<std::vector<Frame>> unpack_frames(const PackedFrames& packed) {
    if (packed.layout != kFrameLayout) {
        return Error{"packed frames have layout " + std::to_string(packed.layout) +
                     ", this build reads layout " + std::to_string(kFrameLayout) + ": use a newer build"};
    }
    const Error damaged{"packed frames from tick " + std::to_string(packed.from_ms) +
                        " ms are damaged: they are left out"};
    // A difference of ticks beyond this would be thousands of years and could overflow below.
    constexpr std::int64_t kMostTick = std::int64_t{1} << 60;
    if (packed.count < 1 || packed.count > static_cast<std::int64_t>(kMaxPackedFrames)) return damaged;
    for (const std::int64_t tick : {packed.from_ms, packed.to_ms}) {
        if (tick < -kMostTick || tick > kMostTick) return damaged;
    }
    if (packed.to_ms - packed.from_ms < packed.count - 1) return damaged;
    if (packed.crc != crc_of(packed)) return damaged;

    BitReader in({reinterpret_cast<const unsigned char*>(packed.body.data()), packed.body.size()});
    const auto channels = static_cast<std::size_t>(in.bits(5));
    if (in.ended() || channels > kMaxChannels) return damaged;
    std::vector<Frame> frames(static_cast<std::size_t>(packed.count));
    if (!take_ticks(in, packed, frames)) return damaged;
    for (Frame& frame : frames) frame.channels = static_cast<std::uint8_t>(channels);
    for (std::size_t channel = 0; channel < channels; ++channel) {
        if (!take_qualities(in, frames, channel) || !take_freshness(in, frames, channel) ||
            !take_values(in, frames, channel)) {
            return damaged;
        }
    }
    if (in.ended() || in.left() >= 8) return damaged;
    return frames;
}

bool same_frame(const Frame& a, const Frame& b) {
    return a.tick == b.tick && a.channels == b.channels &&
           std::equal(a.samples.begin(), a.samples.begin() + a.channels, b.samples.begin());
}

}  // namespace drumwatch
