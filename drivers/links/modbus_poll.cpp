#include "drivers/links/modbus_poll.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "drivers/links/swapped_words.hpp"
#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

constexpr std::uint8_t kIllegalDataAddress = 2;
constexpr std::size_t kMostComplaint = 400;

const char* table_words(RegisterTable table) {
    switch (table) {
        case RegisterTable::input:
            return "input register";
        case RegisterTable::holding:
            return "holding register";
        case RegisterTable::discrete:
            return "discrete input";
    }
    return "register";
}

std::string range_words(const ReadGroup& group) {
    const char* what = table_words(group.table);
    if (group.count() == 1) return fmt::format("{} {}", what, group.address());
    return fmt::format("{}s {} to {}", what, group.address(), group.address() + group.count() - 1);
}

void complain(PollOutcome& outcome, const std::string& sentence) {
    if (outcome.complaint.size() + sentence.size() > kMostComplaint) return;
    outcome.complaint += (outcome.complaint.empty() ? "" : "; ") + sentence;
}

void take_bits(const ReadGroup& group, std::span<const std::uint8_t> bytes, PollOutcome& outcome) {
    for (const ReadItem& item : group.items) {
        const std::size_t place = item.address - group.address();
        outcome.inputs.push_back({item.button.value_or(0), (bytes[place / 8] >> (place % 8) & 1U) != 0});
    }
}

}  // namespace

ModbusPoll::ModbusPoll(const BusConfig& bus, std::chrono::milliseconds timeout,
                       std::unique_ptr<ModbusTransport> transport)
    : bus_(bus),
      transport_(std::move(transport)),
      groups_(plan_reads(bus)),
      units_(units_of(bus, groups_, timeout)),
      own_unit_(drumwatch::own_unit(bus)),
      doubted_polls_(bus.channels.size()) {}

Result<Done> ModbusPoll::open() {
    transport_->close();
    Result<Done> opened = transport_->open();
    if (!opened) return opened;
    groups_ = plan_reads(bus_);
    for (ModbusUnit& unit : units_) {
        if (transport_->opens_anew()) unit.forget();
        unit.end_rest();
    }
    return opened;
}

PollOutcome ModbusPoll::down(std::string complaint) {
    PollOutcome outcome;
    outcome.complaint = std::move(complaint);
    return outcome;
}

ModbusUnit& ModbusPoll::unit(std::uint8_t unit_id) {
    return *std::find_if(units_.begin(), units_.end(),
                         [&](const ModbusUnit& one) { return one.unit_id() == unit_id; });
}

PollOutcome ModbusPoll::poll() {
    if (!transport_->is_open()) return down(why_closed_);
    PollOutcome outcome;
    outcome.link = Link::up;
    outcome.readings.reserve(bus_.channels.size());
    outcome.raws.reserve(bus_.channels.size());
    outcome.faults = std::exchange(of_coils_, {});
    for (ModbusUnit& unit : units_) unit.begin_poll();
    // The list may grow while it is walked: a refused group is split (modbus_plan.hpp).
    for (std::size_t i = 0; i < groups_.size() && transport_->is_open(); ++i) read_group(i, outcome);
    outcome.faults[static_cast<std::size_t>(LinkFault::late)] += transport_->take_late();
    if (all_answered()) return outcome;
    tell_resting(outcome);
    if (transport_->is_open() && !all_silent()) return outcome;
    if (!transport_->is_open()) why_closed_ = outcome.complaint;
    outcome.link = Link::down;
    outcome.readings.clear();
    outcome.raws.clear();
    outcome.inputs.clear();
    outcome.machine_ms.reset();
    return outcome;
}

bool ModbusPoll::all_answered() const {
    return transport_->is_open() &&
           std::none_of(units_.begin(), units_.end(), [](const ModbusUnit& unit) { return unit.owes(); });
}

bool ModbusPoll::all_silent() const {
    return !groups_.empty() && std::all_of(groups_.begin(), groups_.end(), [&](const ReadGroup& group) {
        return std::any_of(units_.begin(), units_.end(), [&](const ModbusUnit& unit) {
            return unit.unit_id() == group.unit_id && unit.fault() == LinkFault::silent;
        });
    });
}

/// What a poll that did not ask a unit says of it.
void ModbusPoll::tell_resting(PollOutcome& outcome) const {
    const auto now = Clock::now();
    for (const ModbusUnit& unit : units_) {
        if (unit.given_up() || !unit.resting(now)) continue;
        const std::chrono::duration<double> left = unit.not_before() - now;
        complain(outcome, fmt::format("unit {} does not answer and is asked again in {:.1f} s",
                                      unit.unit_id(), left.count()));
    }
}

ModbusReply ModbusPoll::ask(const ModbusQuestion& question, ModbusUnit& unit) {
    const ModbusReply reply = transport_->ask(question, unit);
    if (reply.kind == ModbusReply::Kind::broken)
        unit.failed(reply.fault, Clock::now());
    else
        unit.answered(unit.has_pause() ? Clock::now() : Clock::time_point{});
    return reply;
}

/// Whether the unit's next answer can only be that to its next question; a unit that owes one is probed.
bool ModbusPoll::in_step(ModbusUnit& unit, PollOutcome& outcome) {
    if (!unit.owes()) return true;
    if (unit.given_up() || unit.resting(Clock::now())) return false;
    const ModbusReply reply = ask(probe_question(unit.unit_id(), groups_), unit);
    if (reply.kind != ModbusReply::Kind::broken) return true;
    outcome.count(reply.fault);
    complain(outcome, fmt::format("{} (unit {})", reply.why, unit.unit_id()));
    return false;
}

void ModbusPoll::read_group(std::size_t index, PollOutcome& outcome) {
    ModbusUnit& unit = this->unit(groups_[index].unit_id);
    if (!in_step(unit, outcome)) return absent(groups_[index], unit.fault(), outcome);
    for (;;) {
        const ReadGroup& group = groups_[index];
        const ModbusReply reply =
            ask(read_question(group.unit_id, group.table, group.address(), group.count()), unit);
        if (reply.kind == ModbusReply::Kind::broken) return broken(reply, group, outcome);
        if (reply.kind == ModbusReply::Kind::data) return take_values(group, reply.values, outcome);
        auto halves = reply.exception == kIllegalDataAddress ? split(group) : std::nullopt;
        if (!halves) return refused(group, reply.exception, outcome);
        groups_[index] = std::move(halves->first);
        groups_.insert(groups_.begin() + static_cast<std::ptrdiff_t>(index) + 1, std::move(halves->second));
    }
}

void ModbusPoll::broken(const ModbusReply& reply, const ReadGroup& group, PollOutcome& outcome) const {
    outcome.count(reply.fault);
    complain(outcome, fmt::format("{} (unit {}, {})", reply.why, group.unit_id, range_words(group)));
    absent(group, reply.fault, outcome);
}

void ModbusPoll::refused(const ReadGroup& group, std::uint8_t exception, PollOutcome& outcome) const {
    outcome.count(LinkFault::exception);
    complain(outcome, fmt::format("unit {} refuses {}: {} (exception {})", group.unit_id, range_words(group),
                                  exception_words(exception), exception));
    absent(group, LinkFault::exception, outcome);
}

void ModbusPoll::absent(const ReadGroup& group, LinkFault fault, PollOutcome& outcome) const {
    for (const ReadItem& item : group.items) {
        if (item.button) outcome.inputs.push_back({*item.button, std::nullopt});
        if (!item.channel) continue;
        outcome.readings.push_back({bus_.channels[*item.channel].channel, 0, Quality::bad_reply});
        RawValue& raw = outcome.raws.emplace_back();
        raw.fault = fault;
    }
}

void ModbusPoll::take_values(const ReadGroup& group, std::span<const std::uint8_t> bytes,
                             PollOutcome& outcome) {
    if (group.table == RegisterTable::discrete) return take_bits(group, bytes, outcome);
    const auto word = [&](std::size_t place) {
        return static_cast<std::uint16_t>(bytes[2 * place] << 8U | bytes[2 * place + 1]);
    };
    const std::uint32_t begin = group.address();
    for (const ReadItem& item : group.items) {
        const std::size_t place = item.address - begin;
        const std::uint16_t first = word(place);
        const std::uint16_t second = item.width == 2 ? word(place + 1) : std::uint16_t{0};
        if (!item.channel) {
            outcome.machine_ms = static_cast<std::uint32_t>(first) << 16U | second;
            continue;
        }
        const ChannelSource& source = bus_.channels[*item.channel];
        Reading& reading = outcome.readings.emplace_back(decode_registers(source, first, second));
        RawValue& raw = outcome.raws.emplace_back();
        raw.kind = item.width == 2 ? RawValue::Kind::two_words : RawValue::Kind::one_word;
        raw.words = {first, second};
        if (item.width == 2 || !is_good(reading.quality)) doubt(source, reading, raw, outcome);
    }
}

/// What is to be said of a value that is not good, or may only look good.
void ModbusPoll::doubt(const ChannelSource& source, Reading& reading, RawValue& raw, PollOutcome& outcome) {
    const std::uint16_t first = raw.words[0];
    const std::uint16_t second = raw.words[1];
    if (reading.quality == Quality::open_circuit) return;
    const auto order =
        raw.kind == RawValue::Kind::two_words ? order_meant(source, first, second) : std::nullopt;
    std::uint8_t& doubted = doubted_polls_[static_cast<std::size_t>(&source - bus_.channels.data())];
    if (order) {
        raw.fault = LinkFault::swapped_words;
        reading = {source.channel, 0, Quality::bad_reply};
        complain(outcome, order_sentence(source, first, second, *order));
        doubted = kDoubtedPolls;
    } else if (doubted > 0 && is_good(reading.quality)) {  // some swapped ones look like a value
        --doubted;
        raw.fault = LinkFault::swapped_words;
        reading = {source.channel, 0, Quality::bad_reply};
    } else if (reading.quality == Quality::bad_reply) {
        raw.fault = LinkFault::no_number;
    }
    if (raw.fault != LinkFault::none) outcome.count(raw.fault);
}

Result<Done> ModbusPoll::write_coil(AllowedCoil coil, bool on) {
    if (!transport_->is_open()) return Error{why_closed_};
    const ModbusReply reply = ask(coil_question(own_unit_, coil.address(), on), unit(own_unit_));
    if (reply.kind == ModbusReply::Kind::data) return Done{};
    ++of_coils_[static_cast<std::size_t>(reply.fault)];
    if (reply.kind == ModbusReply::Kind::broken) {
        if (!transport_->is_open()) why_closed_ = reply.why;
        return Error{std::string(reply.why)};
    }
    return Error{fmt::format("the device refuses coil {}: {} (exception {})", coil.address(),
                             exception_words(reply.exception), reply.exception)};
}

}  // namespace drumwatch
