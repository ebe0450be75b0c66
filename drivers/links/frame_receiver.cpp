#include "drivers/links/frame_receiver.hpp"

#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <ctime>

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::nanoseconds;

/// False when nothing came in time.
bool readable(int port, nanoseconds within) {
    pollfd waiting{port, POLLIN, 0};
    const auto count = std::max<nanoseconds::rep>(0, within.count());
    const timespec time{static_cast<time_t>(count / 1'000'000'000), static_cast<long>(count % 1'000'000'000)};
    return ::ppoll(&waiting, 1, &time, nullptr) > 0;
}

/// Adds to `received.bytes`; false after an error.
bool read_some(int port, std::span<std::uint8_t> into, Received& received) {
    const ssize_t count = ::read(port, into.data(), into.size());
    if (count > 0) received.bytes += static_cast<std::size_t>(count);
    if (count == 0) received.error = ECONNRESET;
    if (count < 0 && errno != EAGAIN && errno != EINTR) received.error = errno;
    return received.error == 0;
}

}  // namespace

Received receive_frame(int port, const ModbusQuestion& question, ReplyLength length_of,
                       std::span<std::uint8_t> into, std::size_t already, Clock::time_point deadline) {
    Received received{already};
    for (;;) {
        received.length = length_of(question, into.first(received.bytes));
        received.whole = received.bytes >= received.length;
        if (received.whole || !readable(port, deadline - Clock::now())) return received;
        if (!read_some(port, into.subspan(received.bytes, received.length - received.bytes), received))
            return received;
    }
}

Received drain(int port, std::chrono::microseconds quiet, Clock::time_point deadline, const ByteTap& tap) {
    Received received;
    std::array<std::uint8_t, 256> bytes;
    for (;;) {
        const std::size_t before = received.bytes;
        if (!read_some(port, bytes, received)) return received;
        if (received.bytes == before && quiet == quiet.zero()) return received;
        if (tap && received.bytes > before)
            tap(ByteWay::received, std::span(bytes).first(received.bytes - before));
        const auto left = deadline - Clock::now();
        if (left < left.zero()) return received;
        if (received.bytes == before && !readable(port, std::min<nanoseconds>(quiet, left))) return received;
    }
}

}  // namespace drumwatch
