// Any bytes as the answer of a Modbus device, over TCP or RTU: nothing but the answer to the very question is
// taken, and a poll that gets them gives each channel at most one reading and none that nobody asked for.
//
// The first byte says over what, and whether checksum or header are made right (or else hardly an answer
// would get past them); the next four choose the question.
#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "drivers/links/modbus_frame.hpp"
#include "drivers/links/modbus_poll.hpp"

using namespace drumwatch;

namespace {

using Bytes = std::vector<std::uint8_t>;

constexpr std::uint16_t kTransaction = 0x1234;

void demand(bool right) {
    if (!right) std::abort();
}

unsigned crc_once_more(const Bytes& bytes) {
    unsigned crc = 0xFFFF;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? (crc >> 1U) ^ 0xA001U : crc >> 1U;
    }
    return crc;
}

struct Wire {
    bool rtu = false;
    bool mended = false;
};

Bytes frame_of(Wire wire, Bytes bytes) {
    if (!wire.mended) return bytes;
    if (wire.rtu) {
        const unsigned crc = crc_once_more(bytes);
        bytes.push_back(static_cast<std::uint8_t>(crc & 0xFFU));
        bytes.push_back(static_cast<std::uint8_t>(crc >> 8U));
        return bytes;
    }
    Bytes frame{kTransaction >> 8U,
                kTransaction & 0xFFU,
                0,
                0,
                static_cast<std::uint8_t>(bytes.size() >> 8U),
                static_cast<std::uint8_t>(bytes.size() & 0xFFU)};
    frame.insert(frame.end(), bytes.begin(), bytes.end());
    return frame;
}

ModbusReply check(Wire wire, const ModbusQuestion& question, std::span<const std::uint8_t> frame) {
    return wire.rtu ? check_rtu_reply(question, frame) : check_tcp_reply(kTransaction, question, frame);
}

/// What is taken must be right by rules written down once more.
void demand_right(Wire wire, const ModbusQuestion& question, const Bytes& frame, const ModbusReply& reply) {
    const bool broken = reply.kind == ModbusReply::Kind::broken;
    demand((reply.fault == LinkFault::none) == (reply.kind == ModbusReply::Kind::data));
    demand(broken != reply.why.empty());
    demand(reply.kind == ModbusReply::Kind::data || reply.values.empty());
    if (broken) return;
    const std::size_t unit = wire.rtu ? 0 : 6;
    const std::size_t crc = wire.rtu ? 2 : 0;
    demand(frame[unit] == question.unit_id);
    if (wire.rtu) demand(crc_once_more(frame) == 0);
    if (!wire.rtu) demand(frame[0] == 0x12 && frame[1] == 0x34 && frame[2] == 0 && frame[3] == 0);
    if (reply.kind == ModbusReply::Kind::exception) {
        demand(frame[unit + 1] == (question.function | 0x80) && frame.size() == unit + 3 + crc);
        return;
    }
    demand(frame[unit + 1] == question.function);
    if (question.function == 5) {
        demand(frame.size() == unit + 6 + crc);
        demand((frame[unit + 2] << 8 | frame[unit + 3]) == question.address);
        demand((frame[unit + 4] << 8 | frame[unit + 5]) == question.last);
        return;
    }
    const std::size_t bytes = question.function == 2 ? (question.last + 7U) / 8 : 2U * question.last;
    demand(frame[unit + 2] == bytes && frame.size() == unit + 3 + bytes + crc);
    demand(reply.values.size() == bytes && reply.values.data() == frame.data() + unit + 3);
}

/// As the receiver does: the frame comes in pieces, and how long it is must be told without end or overrun.
void receive(Wire wire, const ModbusQuestion& question, std::span<const std::uint8_t> frame) {
    std::size_t have = 0;
    for (std::size_t step = 1;; step = step % 7 + 1) {
        const auto so_far = frame.first(have);
        const std::size_t length =
            wire.rtu ? rtu_reply_length(question, so_far) : tcp_reply_length(question, so_far);
        demand(length >= 1 && length <= kMaxModbusFrame);
        if (have >= length) {
            check(wire, question, so_far.first(length));
            return;
        }
        if (have == frame.size()) return;
        have += std::min({step, length - have, frame.size() - have});
    }
}

/// Answers with what it was given, and then no more.
class Answers final : public ModbusTransport {
  public:
    Answers(Wire wire, Bytes bytes) : wire_(wire), bytes_(std::move(bytes)) {}
    Result<Done> open() override {
        open_ = true;
        return Done{};
    }
    void close() override { open_ = false; }
    bool is_open() const override { return open_; }
    bool opens_anew() const override { return !wire_.rtu; }
    std::uint32_t take_late() override { return 0; }
    ModbusReply ask(const ModbusQuestion& question, const ModbusUnit&) override {
        if (at_ >= bytes_.size()) {
            if (!wire_.rtu) close();
            return {ModbusReply::Kind::broken, 0, {}, LinkFault::silent, "no answer in time"};
        }
        const std::size_t size = std::min<std::size_t>(bytes_[at_] + 1U, bytes_.size() - at_ - 1);
        const auto from = bytes_.begin() + static_cast<std::ptrdiff_t>(at_ + 1);
        frame_ = frame_of(wire_, Bytes(from, from + static_cast<std::ptrdiff_t>(size)));
        at_ += size + 1;
        const ModbusReply reply = check(wire_, question, frame_);
        demand_right(wire_, question, frame_, reply);
        if (reply.kind == ModbusReply::Kind::broken && !wire_.rtu) close();
        answered_ = answered_ || reply.kind == ModbusReply::Kind::data;
        return reply;
    }
    bool answered() const { return answered_; }

  private:
    Wire wire_;
    Bytes bytes_;
    Bytes frame_;
    std::size_t at_ = 0;
    bool open_ = false;
    bool answered_ = false;
};

BusConfig bus_of_two_units() {
    BusConfig bus;
    const auto add = [&](std::uint8_t unit_id, std::uint16_t address, DataType type, WordOrder order) {
        ChannelSource source;
        source.channel = static_cast<std::uint8_t>(bus.channels.size() + 3);
        source.modbus = ModbusSource{RegisterTable::input, address, unit_id, type, order, std::nullopt};
        source.span_low_milli = -50'000;
        source.span_high_milli = 1'000'000;
        bus.channels.push_back(source);
    };
    add(1, 0, DataType::int16, WordOrder::abcd);
    add(1, 4, DataType::float32, WordOrder::abcd);
    add(2, 0, DataType::int32, WordOrder::cdab);
    add(2, 200, DataType::uint16, WordOrder::abcd);
    bus.discrete_inputs = {{3, 2}};
    return bus;
}

void poll(Wire wire, Bytes bytes) {
    const BusConfig bus = bus_of_two_units();
    auto answers = std::make_unique<Answers>(wire, std::move(bytes));
    const Answers& told = *answers;
    ModbusPoll driver(bus, std::chrono::milliseconds(300), std::move(answers));
    demand(driver.open().ok());
    for (int i = 0; i < 3; ++i) {
        const PollOutcome outcome = driver.poll();
        demand(outcome.raws.size() == outcome.readings.size());
        demand(outcome.link == Link::up || (outcome.readings.empty() && !outcome.complaint.empty()));
        demand(outcome.link == Link::down || outcome.readings.size() == bus.channels.size());
        std::vector<int> seen(16);
        for (std::size_t at = 0; at < outcome.readings.size(); ++at) {
            const Reading& reading = outcome.readings[at];
            demand(reading.channel >= 3 && reading.channel < 7 && ++seen[reading.channel] == 1);
            const bool good = is_good(reading.quality);
            demand(good == (outcome.raws[at].fault == LinkFault::none));
            demand(!good || told.answered());
        }
        if (outcome.link == Link::down && wire.rtu == false) demand(driver.open().ok());
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size < 5) return 0;
    const Wire wire{(data[0] & 1U) != 0, (data[0] & 2U) != 0};
    constexpr std::uint8_t kFunctions[] = {2, 3, 4, 5};
    ModbusQuestion question{static_cast<std::uint8_t>(1 + data[1] % 247), kFunctions[data[2] % 4], data[3],
                            static_cast<std::uint16_t>(1 + data[4] % 125)};
    if (question.function == 5) question.last = (data[4] & 1U) != 0 ? 0xFF00 : 0;
    const Bytes bytes(data + 5, data + size);
    const Bytes frame = frame_of(
        wire, Bytes(bytes.begin(),
                    bytes.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(bytes.size(), 258))));
    demand_right(wire, question, frame, check(wire, question, frame));
    receive(wire, question, frame);
    poll(wire, bytes);
    return 0;
}
