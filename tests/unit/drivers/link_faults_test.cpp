// Faults of a link as values: their words, and what a host counts of them.
#include <doctest/doctest.h>

#include <future>
#include <memory>
#include <set>

#include "driver_fixtures.hpp"
#include "drivers/host.hpp"
#include "drivers/link_fault.hpp"
#include "eventually.hpp"
#include "support/rtu_slave.hpp"

using namespace drumwatch;

namespace {

PollOutcome poll(BusHost& host) {
    auto promise = std::make_shared<std::promise<PollOutcome>>();
    std::future<PollOutcome> result = promise->get_future();
    if (!eventually([&] {
            return host.request_poll(
                [promise](PollOutcome outcome) { promise->set_value(std::move(outcome)); });
        }))
        return {};
    return result.get();
}

std::uint32_t of(const FaultCounts& counts, LinkFault fault) {
    return counts[static_cast<std::size_t>(fault)];
}

}  // namespace

TEST_CASE("every kind of link fault has a name of its own and says what to look at first") {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < kLinkFaults; ++i) {
        const auto fault = static_cast<LinkFault>(i);
        CHECK(names.insert(name(fault)).second);
        CHECK(sentence(fault).ends_with("."));
        if (fault != LinkFault::none) CHECK(look_first(fault).size() > 20);
    }
    CHECK(name(LinkFault::bad_crc) == "bad_crc");
    CHECK(name(LinkFault::no_line) == "no_line");
}

TEST_CASE("a host counts faults by kind and by channel and keeps what came") {
    // Unit 1 answers well, unit 2 refuses; of unit 1 a float has its words swapped and another is not a
    // number.
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] == 2) return line.send(rtu_refusal(request, 4));
        if (request[3] == 40) return line.send(with_crc({1, 4, 4, 0x80, 0x00, 0x43, 0x3B}));
        if (request[3] == 60) return line.send(with_crc({1, 4, 4, 0x7F, 0xC0, 0x00, 0x00}));
        line.send(rtu_answer(request, 205));
    });
    BusConfig bus;
    bus.name = "line";
    bus.kind = BusKind::modbus_rtu;
    bus.device = slave.path();
    bus.timeout_ms = 2000;
    bus.channels = {modbus_channel(3, RegisterTable::input, 0), modbus_channel(4, RegisterTable::input, 0),
                    modbus_channel(5, RegisterTable::input, 40, DataType::float32),
                    modbus_channel(6, RegisterTable::input, 60, DataType::float32)};
    bus.channels[1].modbus->unit_id = 2;
    bus.channels[2].span_low_milli = 0;
    bus.channels[2].span_high_milli = 500'000;
    BusHost host(bus, 1);
    for (int i = 0; i < 4; ++i) {
        const PollOutcome outcome = poll(host);
        REQUIRE(outcome.link == Link::up);
        CHECK(outcome.complaint.find("as CDAB it would be 187.5: is \"order\" wrong?") != std::string::npos);
        CHECK(outcome.complaint.find("unit 2 refuses input register 0") != std::string::npos);
    }
    const BusCounters counters = host.counters();
    CHECK(of(counters.faults, LinkFault::exception) == 4);
    CHECK(of(counters.faults, LinkFault::swapped_words) == 4);
    CHECK(of(counters.faults, LinkFault::no_number) == 4);
    CHECK(counters.bad_replies == 12);
    CHECK(counters.median_round_trip_us > 0);
    CHECK(counters.median_round_trip_us <= counters.worst_round_trip_us);
    const auto channels = host.channels();
    REQUIRE(channels.size() == 4);
    CHECK(channels[0].channel == 3);
    CHECK(channels[0].readings == 4);
    CHECK(channels[0].newest.quality == Quality::good);
    CHECK(channels[0].newest.value_milli == 205'000);
    CHECK(channels[0].raw.words[0] == 205);
    CHECK(channels[0].faults == FaultCounts{});
    CHECK(of(channels[1].faults, LinkFault::exception) == 4);
    CHECK(channels[1].raw.kind == RawValue::Kind::none);
    CHECK(of(channels[2].faults, LinkFault::swapped_words) == 4);
    CHECK(channels[2].newest.quality == Quality::bad_reply);
    CHECK(channels[2].raw.kind == RawValue::Kind::two_words);
    CHECK(channels[2].raw.words == std::array<std::uint16_t, 2>{0x8000, 0x433B});
    CHECK(of(channels[3].faults, LinkFault::no_number) == 4);
    CHECK(channels[3].raw.words[0] == 0x7FC0);
    CHECK(channels[2].at.time_since_epoch().count() > 0);
}

TEST_CASE("the median of the newest round trips is that of the window") {
    TripWindow trips;
    CHECK(trips.median_us() == 0);
    trips.take(5);
    CHECK(trips.median_us() == 5);
    trips.take(1);
    trips.take(9);
    CHECK(trips.median_us() == 5);
    for (std::size_t i = 0; i < kTripWindow; ++i) trips.take(100);
    CHECK(trips.median_us() == 100);
}
