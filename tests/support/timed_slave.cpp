#include "support/timed_slave.hpp"

#include <algorithm>
#include <thread>

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::uint8_t kReadDiscrete = 2;
constexpr std::uint8_t kReadInput = 4;
constexpr std::uint8_t kWriteCoil = 5;

/// The request's header with another length, and what comes after it.
Bytes reply(const Bytes& request, const Bytes& data) {
    Bytes bytes(8 + data.size());
    std::copy_n(request.begin(), 8, bytes.begin());
    bytes[4] = 0;
    bytes[5] = static_cast<std::uint8_t>(data.size() + 2);
    std::copy(data.begin(), data.end(), bytes.begin() + 8);
    return bytes;
}

Bytes refusal(const Bytes& request) {
    Bytes bytes = reply(request, {1});  // illegal function
    bytes[7] = static_cast<std::uint8_t>(bytes[7] | 0x80U);
    return bytes;
}

}  // namespace

TimedSlave::TimedSlave(std::chrono::microseconds answer_after)
    : answer_after_(answer_after), server_([this](RawServer::Connection& connection, const Bytes& request) {
          answer(connection, request);
      }) {}

void TimedSlave::set_bean(std::int16_t tenths) {
    const std::lock_guard lock(mutex_);
    bean_tenths_ = tenths;
    ++changes_;
    writes_.clear();
    change_ = {Clock::now(), std::nullopt};
}

void TimedSlave::press(bool down) {
    const std::lock_guard lock(mutex_);
    pressed_ = down;
}

int TimedSlave::polls() const {
    const std::lock_guard lock(mutex_);
    return polls_;
}

TimedSlave::Change TimedSlave::change() const {
    const std::lock_guard lock(mutex_);
    return change_;
}

void TimedSlave::sent(bool carries, int change) {
    if (!carries) return;
    {
        const std::lock_guard lock(mutex_);
        ++polls_;
        if (change == changes_ && !change_.carried) change_.carried = Moment{Clock::now(), polls_};
    }
    happened_.notify_all();
}

void TimedSlave::answer(RawServer::Connection& connection, const Bytes& request) {
    const auto came = Clock::now();
    const std::uint8_t function = request.size() < 12 ? std::uint8_t{0} : request[7];
    Bytes bytes = refusal(request);
    int change = 0;
    {
        const std::lock_guard lock(mutex_);
        change = changes_;
        if (function == kReadInput) {
            const auto raw = static_cast<std::uint16_t>(bean_tenths_);
            bytes = reply(request,
                          {2, static_cast<std::uint8_t>(raw >> 8U), static_cast<std::uint8_t>(raw & 0xFFU)});
        } else if (function == kReadDiscrete) {
            bytes = reply(request, {1, static_cast<std::uint8_t>(pressed_ ? 1 : 0)});
        } else if (function == kWriteCoil) {
            bytes = request;
            const bool of_sounder = request[8] == 0 && request[9] == 0;
            if (of_sounder) writes_.push_back({{came, polls_}, request[10] == 0xFF});
        }
    }
    if (function == kWriteCoil) happened_.notify_all();
    if (answer_after_.count() > 0) std::this_thread::sleep_until(came + answer_after_);
    sent(function == kReadInput, change);  // before it leaves: never later than the truth
    connection.send(bytes);
}

std::optional<TimedSlave::Moment> TimedSlave::await_coil(bool on, std::chrono::milliseconds within) {
    std::unique_lock lock(mutex_);
    const auto found = [&] {
        return std::find_if(writes_.begin(), writes_.end(), [&](const Write& write) {
            return change_.carried && write.on == on && write.when.at >= change_.carried->at;
        });
    };
    if (!happened_.wait_for(lock, within, [&] { return found() != writes_.end(); })) return std::nullopt;
    return found()->when;
}

bool TimedSlave::await_polls(int since_carried, std::chrono::milliseconds within) {
    std::unique_lock lock(mutex_);
    return happened_.wait_for(
        lock, within, [&] { return change_.carried && polls_ - change_.carried->polls >= since_carried; });
}

}  // namespace drumwatch
