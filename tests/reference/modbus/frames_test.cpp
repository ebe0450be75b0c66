// Bytes against published ones: word orders, whole frames, checksums. Sources: README.md here.
#include <doctest/doctest.h>

#include <map>
#include <string>

#include "drivers/driver.hpp"
#include "drivers/links/modbus_frame.hpp"
#include "drivers/sensors/decode.hpp"
#include "support/csv_rows.hpp"
#include "support/raw_server.hpp"
#include "support/rtu_slave.hpp"

using namespace drumwatch;

namespace {

const std::string kData = DATA_DIR "/";

std::uint16_t word(const std::string& hex) {
    return static_cast<std::uint16_t>(std::stoul(hex, nullptr, 16));
}

struct Frames {
    Bytes request;
    Bytes response;
};

/// The TCP rows of frames.csv by their description.
std::map<std::string, Frames> tcp_frames() {
    std::map<std::string, Frames> frames;
    for (const CsvRow& row : csv_rows(kData + "frames.csv"))
        if (row.at(0) == "tcp") frames[row.at(1)] = {from_hex(row.at(2)), from_hex(row.at(3))};
    return frames;
}

template <typename Request>
Bytes bytes(const Request& request) {
    return {request.begin(), request.end()};
}

/// What a bus with these channels asks, and what it makes of the published response to it.
PollOutcome poll_answered_by(const Frames& published, std::vector<ChannelSource> channels) {
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        Bytes response = published.response;
        response[0] = request[0];  // the transaction number is the asker's choice
        response[1] = request[1];
        to.send(response);
    });
    BusConfig bus;
    bus.host = "127.0.0.1";
    bus.port = server.port();
    bus.timeout_ms = 5000;
    bus.channels = std::move(channels);
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    PollOutcome outcome = driver->poll();
    const std::vector<Bytes> asked = server.requests();
    REQUIRE(asked.size() == 1);
    CHECK(Bytes(asked[0].begin() + 2, asked[0].end()) ==
          Bytes(published.request.begin() + 2, published.request.end()));
    return outcome;
}

ChannelSource channel(RegisterTable table, std::uint16_t address, DataType type = DataType::int16,
                      std::uint8_t unit_id = 1) {
    ChannelSource source;
    source.modbus = ModbusSource{table, address, unit_id, type, WordOrder::abcd, std::nullopt};
    return source;
}

constexpr auto kInput = RegisterTable::input;
constexpr auto kHolding = RegisterTable::holding;

}  // namespace

TEST_CASE("float32 in all four word orders as published") {
    const std::map<std::string, WordOrder> orders{{"ABCD", WordOrder::abcd},
                                                  {"CDAB", WordOrder::cdab},
                                                  {"BADC", WordOrder::badc},
                                                  {"DCBA", WordOrder::dcba}};
    const auto rows = csv_rows(kData + "float32_word_orders.csv");
    CHECK(rows.size() == 24);
    for (const CsvRow& row : rows) {
        CAPTURE(row.at(0) + " " + row.at(2));
        const double value =
            raw_value(DataType::float32, orders.at(row.at(2)), word(row.at(3)), word(row.at(4)));
        CHECK(value == static_cast<double>(std::stof(row.at(0))));
        const double bits =
            raw_value(DataType::uint32, orders.at(row.at(2)), word(row.at(3)), word(row.at(4)));
        CHECK(bits == static_cast<double>(std::stoul(row.at(1), nullptr, 16)));
    }
}

TEST_CASE("a wrong word order gives the wrong numbers that the reference names") {
    // README of the reference: 123.456 sent CDAB and read as ABCD gives -1.88e25; 205.3 gives 107616872.
    CHECK(raw_value(DataType::float32, WordOrder::abcd, 0xE979, 0x42F6) ==
          doctest::Approx(-1.88e25).epsilon(0.005));
    CHECK(raw_value(DataType::float32, WordOrder::abcd, 0x4CCD, 0x434D) == 107616872.0);
}

TEST_CASE("requests are the published frames byte for byte") {
    const auto frames = tcp_frames();
    CHECK(bytes(tcp_request(1, read_question(1, kHolding, 107, 3))) ==
          frames.at("FC3 read 3 holding registers from 107").request);
    CHECK(bytes(tcp_request(2, read_question(1, kInput, 8, 1))) ==
          frames.at("FC4 read 1 input register at 8").request);
    CHECK(bytes(tcp_request(3, read_question(1, kInput, 0, 2))) ==
          frames.at("FC4 read 2 input registers at 0 (float 123.456 ABCD)").request);
    CHECK(bytes(tcp_request(4, coil_question(1, 172, true))) == frames.at("FC5 coil 172 on").request);
    CHECK(bytes(tcp_request(5, coil_question(1, 172, false))) == frames.at("FC5 coil 172 off").request);
    CHECK(bytes(tcp_request(6, read_question(1, kHolding, 0, 126))) ==
          frames.at("FC3 count 126 refused").request);
    CHECK(bytes(tcp_request(7, read_question(1, kInput, 10000, 1))) ==
          frames.at("FC4 address 10000 refused").request);
    CHECK(bytes(tcp_request(10, read_question(17, kInput, 0, 1))) ==
          frames.at("gateway target did not answer (unit 17)").request);
}

TEST_CASE("published responses are read for what they say") {
    const auto frames = tcp_frames();
    const PollOutcome three =
        poll_answered_by(frames.at("FC3 read 3 holding registers from 107"),
                         {channel(kHolding, 107), channel(kHolding, 108), channel(kHolding, 109)});
    REQUIRE(three.readings.size() == 3);
    CHECK(three.readings[0].value_milli == 555'000);
    CHECK(three.readings[1].value_milli == 0);
    CHECK(three.readings[2].value_milli == 100'000);
    const PollOutcome one =
        poll_answered_by(frames.at("FC4 read 1 input register at 8"), {channel(kInput, 8)});
    REQUIRE(one.readings.size() == 1);
    CHECK(one.readings[0].value_milli == 10'000);
    const PollOutcome real =
        poll_answered_by(frames.at("FC4 read 2 input registers at 0 (float 123.456 ABCD)"),
                         {channel(kInput, 0, DataType::float32)});
    REQUIRE(real.readings.size() == 1);
    CHECK(real.readings[0].value_milli == 123'456);
}

TEST_CASE("published refusals are exceptions and leave the link up") {
    const auto frames = tcp_frames();
    const PollOutcome address =
        poll_answered_by(frames.at("FC4 address 10000 refused"), {channel(kInput, 10000)});
    CHECK(address.link == Link::up);
    CHECK(address.readings.at(0).quality == Quality::bad_reply);
    CHECK(address.complaint == "unit 1 refuses input register 10000: illegal data address (exception 2)");
    const PollOutcome gateway = poll_answered_by(frames.at("gateway target did not answer (unit 17)"),
                                                 {channel(kInput, 0, DataType::int16, 17)});
    CHECK(gateway.link == Link::up);
    CHECK(gateway.readings.at(0).quality == Quality::bad_reply);
    CHECK(gateway.complaint ==
          "unit 17 refuses input register 0: gateway target device failed to respond (exception 11)");
}

TEST_CASE("a coil is written and its echo taken as published") {
    const auto frames = tcp_frames();
    for (const bool on : {true, false}) {
        const Frames& published = frames.at(on ? "FC5 coil 172 on" : "FC5 coil 172 off");
        RawServer server([&](RawServer::Connection& to, const Bytes& request) {
            Bytes response = published.response;
            response[0] = request[0];
            response[1] = request[1];
            to.send(response);
        });
        BusConfig bus;
        bus.host = "127.0.0.1";
        bus.port = server.port();
        const auto driver = make_driver(bus, 1);
        REQUIRE(driver->open().ok());
        CHECK(driver->write_coil(WriteList({172}).find(172).value(), on).ok());
        const Bytes asked = server.requests().at(0);
        CHECK(Bytes(asked.begin() + 2, asked.end()) ==
              Bytes(published.request.begin() + 2, published.request.end()));
    }
}

TEST_CASE("the checksum of the serial line is as published") {
    int rows = 0;
    for (const CsvRow& row : csv_rows(kData + "crc16_vectors.csv")) {
        CAPTURE(row.at(0));
        const Bytes data = from_hex(row.at(1));
        const Bytes sent = from_hex(row.at(3));
        CHECK(crc16(data) == word(row.at(2)));
        Bytes whole = with_crc(data);  // that of the misbehaving slaves in other tests
        CHECK(Bytes(whole.end() - 2, whole.end()) == sent);
        CHECK(crc16(whole) == 0);
        ++rows;
    }
    CHECK(rows >= 20);
}

TEST_CASE("frames of the serial line are the published ones byte for byte and their answers are taken") {
    int frames = 0;
    int exceptions = 0;
    for (const CsvRow& row : csv_rows(kData + "frames.csv")) {
        if (row.at(0) != "rtu") continue;
        CAPTURE(row.at(1));
        const Bytes request = from_hex(row.at(2));
        const Bytes response = from_hex(row.at(3));
        const auto field = [&](std::size_t at) {
            return static_cast<std::uint16_t>(request[at] << 8 | request[at + 1]);
        };
        const ModbusQuestion question{request[0], request[1], field(2), field(4)};
        CHECK(bytes(rtu_request(question)) == request);
        CHECK(rtu_reply_length(question, response) == response.size());
        const ModbusReply reply = check_rtu_reply(question, response);
        CHECK(reply.kind != ModbusReply::Kind::broken);
        exceptions += reply.kind == ModbusReply::Kind::exception ? 1 : 0;
        for (std::size_t length = 0; length < response.size(); ++length)
            CHECK(check_rtu_reply(question, std::span(response).first(length)).kind ==
                  ModbusReply::Kind::broken);
        for (std::size_t bit = 0; bit < 8 * response.size(); ++bit) {
            Bytes changed = response;
            changed[bit / 8] = static_cast<std::uint8_t>(changed[bit / 8] ^ (1U << bit % 8));
            CHECK(check_rtu_reply(question, changed).fault == LinkFault::bad_crc);
        }
        ++frames;
    }
    CHECK(frames == 9);
    CHECK(exceptions >= 3);
}

// MODBUS over Serial Line V1.02, section 2.5.1.1: 3.5 characters of 11 bits, fixed above 19200 baud.
TEST_CASE("the silence between two frames is that of the standard") {
    using std::chrono::microseconds;
    CHECK(frame_silence(2400) == microseconds(16'042));
    CHECK(frame_silence(4800) == microseconds(8'021));
    CHECK(frame_silence(9600) == microseconds(4'011));  // rounded up
    CHECK(frame_silence(19200) == microseconds(2'006));
    for (const std::uint32_t baud : {38400U, 57600U, 115200U})
        CHECK(frame_silence(baud) == microseconds(1'750));
    CHECK(wire_time(9600, 17) == microseconds(19'479));  // 8 bytes asked, 9 answered
}
