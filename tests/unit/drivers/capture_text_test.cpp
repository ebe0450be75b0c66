// Lines of a capture: what is written is read back the same, and nothing else is read.
#include <doctest/doctest.h>

#include "drivers/capture/capture_text.hpp"

using namespace drumwatch;

namespace {

const CaptureHeader kHeader{"machine", {"bean", "exhaust"}};

CapturedReading reading(std::size_t place, Quality quality, Milli milli = 0) {
    CapturedReading made;
    made.place = place;
    made.quality = quality;
    made.value_milli = milli;
    return made;
}

std::string why_not(const std::string& line) {
    const auto read = parse_captured_line(line, kHeader);
    return read ? "" : read.error();
}

}  // namespace

TEST_CASE("a capture's lines come back as they were") {
    const auto header = parse_capture_header(capture_header_line(kHeader));
    REQUIRE_MESSAGE(header, header.error());
    CHECK(header.value() == kHeader);
    CapturedPoll poll{1250, Link::up, {}, "unit 2 \"rests\"\n\xff"};
    CapturedReading words = reading(0, Quality::good, -1'500);
    words.raw.kind = RawValue::Kind::two_words;
    words.raw.words = {0x8000, 0x433B};
    CapturedReading text = reading(1, Quality::bad_reply);
    text.raw.kind = RawValue::Kind::text;
    text.raw.fault = LinkFault::unreadable_field;
    text.raw.length = 3;
    text.raw.bytes = {'\033', '[', '\xff'};
    poll.readings = {words, text};
    const std::string line = captured_poll_line(poll, kHeader);
    const auto read = parse_captured_line(line, kHeader);
    REQUIRE_MESSAGE(read, read.error());
    const auto& same = std::get<CapturedPoll>(read.value());
    CHECK(same.ms == 1250);
    REQUIRE(same.readings.size() == 2);
    CHECK(same.readings[0].value_milli == -1'500);
    CHECK(same.readings[0].raw.words == words.raw.words);
    CHECK(same.readings[1].raw.text() == text.raw.text());
    CHECK(same.readings[1].raw.fault == LinkFault::unreadable_field);
    CHECK(captured_poll_line(same, kHeader) == line);
}

TEST_CASE("discrete inputs come back as they were, refused ones and ones that were not read too") {
    CaptureHeader with_inputs = kHeader;
    with_inputs.inputs = {{1, 1}, {65535, 255}};
    const std::string first = capture_header_line(with_inputs);
    const auto header = parse_capture_header(first);
    REQUIRE_MESSAGE(header, header.error());
    CHECK(header.value() == with_inputs);
    CHECK(first.find(R"("inputs":[{"discrete_input":1,"unit_id":1},)") != std::string::npos);
    CHECK(capture_header_line(kHeader).find("inputs") == std::string::npos);
    using Levels = std::vector<std::optional<bool>>;
    for (const Levels& levels : {Levels{}, Levels{true, false}, Levels{std::nullopt, true}}) {
        const std::string line = captured_poll_line({5, Link::up, {}, "", levels}, with_inputs);
        const auto read = parse_captured_line(line, with_inputs);
        REQUIRE_MESSAGE(read, read.error());
        CHECK(std::get<CapturedPoll>(read.value()).inputs == levels);
    }
}

TEST_CASE("what are no discrete inputs of a capture is refused with what is wrong") {
    const auto head = [](const std::string& inputs) {
        const auto read =
            parse_capture_header(R"({"capture":1,"bus":"a","channels":[],"inputs":)" + inputs + "}");
        return read ? "" : read.error();
    };
    CHECK(head("[]").empty());
    CHECK(head(R"([{"discrete_input":0,"unit_id":1}])").empty());
    CHECK(head(R"([{"discrete_input":65536,"unit_id":1}])").find("from 0 to 65535") != std::string::npos);
    CHECK(head(R"([{"discrete_input":0,"unit_id":256}])").find("from 0 to 255") != std::string::npos);
    CHECK(head(R"([{"discrete_input":0}])") == "has no \"unit_id\"");
    CHECK(head("[3]") == "is no JSON object");
    CHECK(head(R"([{"discrete_input":0,"unit_id":1},{"discrete_input":0,"unit_id":1}])") ==
          "names a discrete input twice");
    CHECK(why_not(R"({"ms":1,"link":"up","readings":[],"inputs":[]})").empty());
    CHECK(why_not(R"({"ms":1,"link":"up","readings":[],"inputs":[true]})").find("as many") !=
          std::string::npos);
    CHECK(why_not(R"({"ms":1,"link":"up","readings":[],"inputs":[1]})").find("true, false or null") !=
          std::string::npos);
}

TEST_CASE("bytes come back as they were, every one of them and as many as a line may have") {
    std::string every;
    for (int byte = 0; byte < 256; ++byte) every += static_cast<char>(byte);
    for (const ByteWay way : {ByteWay::sent, ByteWay::received})
        for (const std::string& bytes : {every, std::string(kMaxCapturedBytes, '\xff')}) {
            const std::string line = captured_bytes_line({7, way, bytes});
            CHECK(line.size() <= kMaxCaptureLine);
            const auto read = parse_captured_line(line, kHeader);
            REQUIRE_MESSAGE(read, read.error());
            const auto& same = std::get<CapturedBytes>(read.value());
            CHECK(same.ms == 7);
            CHECK(same.way == way);
            CHECK(same.bytes == bytes);
        }
    CHECK(captured_bytes_line({12, ByteWay::received, {"\x01\xAb", 2}}) == R"({"ms":12,"received":"01ab"})");
}

TEST_CASE("what are no bytes of a capture is refused with what is wrong") {
    CHECK(why_not(R"({"ms":1,"sent":"00ff"})").empty());
    CHECK(why_not(R"({"sent":"00"})") == "has no \"ms\"");
    CHECK(why_not(R"({"ms":1,"sent":"0"})") == "\"sent\" must be pairs of digits");
    CHECK(why_not(R"({"ms":1,"received":"0G"})").find("\"received\" must be pairs") != std::string::npos);
    CHECK(why_not(R"({"ms":1,"received":""})") == "has no byte in \"received\"");
    CHECK(why_not(R"({"ms":1,"received":5})").find("must be text") != std::string::npos);
    CHECK(why_not(R"({"ms":1,"sent":"00","received":"00"})").find("unknown key") != std::string::npos);
    CHECK(why_not(R"({"ms":1,"sent":"00","link":"up"})").find("unknown key") != std::string::npos);
    const std::string too_many(2 * kMaxCapturedBytes + 2, '0');
    CHECK(why_not(R"({"ms":1,"sent":")" + too_many + "\"}").find("at most") != std::string::npos);
}

TEST_CASE("the longest poll there can be fits into a line") {
    CaptureHeader header{"machine", {}};
    CapturedPoll poll{1, Link::up, {}, std::string(5000, '\x01')};
    for (std::size_t i = 0; i < kMaxChannels; ++i) {
        header.channels.push_back(std::string(30, 'n') + std::to_string(10 + i));
        CapturedReading one = reading(i, Quality::good, -2'000'000'000);
        one.raw.kind = RawValue::Kind::text;
        one.raw.fault = LinkFault::wrong_field_count;
        one.raw.length = RawValue::kMaxText;
        one.raw.bytes.fill('\\');
        poll.readings.push_back(one);
    }
    for (std::uint16_t i = 0; i < kMaxCaptureInputs; ++i) header.inputs.push_back({i, 255});
    poll.inputs.assign(kMaxCaptureInputs, false);
    const std::string line = captured_poll_line(poll, header);
    CHECK(line.size() <= kMaxCaptureLine);
    CHECK(parse_captured_line(line, header));
}

TEST_CASE("what is no line of a capture is refused with what is wrong") {
    CHECK(why_not(R"({"ms":1,"link":"up","readings":[]})").empty());
    CHECK(why_not("") == "is no JSON");
    CHECK(why_not("[]") == "is no JSON object");
    CHECK(why_not(R"({"link":"up","readings":[]})") == "has no \"ms\"");
    CHECK(why_not(R"({"ms":-1,"link":"up","readings":[]})").find("whole number") != std::string::npos);
    CHECK(why_not(R"({"ms":1.5,"link":"up","readings":[]})").find("whole number") != std::string::npos);
    CHECK(why_not(R"({"ms":18446744073709551615,"link":"up","readings":[]})").find("whole number") !=
          std::string::npos);
    CHECK(why_not(R"({"ms":1,"link":"on","readings":[]})") == "\"link\" must be up or down");
    CHECK(why_not(R"({"ms":1,"link":"up","readings":[],"more":1})").find("unknown key") != std::string::npos);
    const auto one = [](const std::string& of) {
        return why_not(R"({"ms":1,"link":"up","readings":[{)" + of + "}]}");
    };
    CHECK(one(R"("channel":"bean","value_milli":1,"quality":"good")").empty());
    CHECK(one(R"("channel":"tray","value_milli":1,"quality":"good")").find("first line") !=
          std::string::npos);
    CHECK(one(R"("channel":"bean","value_milli":1,"quality":"bad_reply")").find("nowhere else") !=
          std::string::npos);
    CHECK(one(R"("channel":"bean","quality":"good")").find("value_milli") != std::string::npos);
    CHECK(one(R"("channel":"bean","quality":"stale","registers":[1,2,3])").find("registers") !=
          std::string::npos);
    CHECK(one(R"("channel":"bean","quality":"stale","registers":[65536])").find("65535") !=
          std::string::npos);
    CHECK(one(R"("channel":"bean","quality":"stale","hex":"0g")").find("hex") != std::string::npos);
    CHECK(one(R"("channel":"bean","quality":"stale","hex":"00","text":"a")").find("more than one") !=
          std::string::npos);
    CHECK(one(R"("channel":"bean","quality":"stale"},{"channel":"bean","quality":"stale")")
              .find("two readings") != std::string::npos);
    CHECK(why_not(std::string(kMaxCaptureLine + 1, ' ')).find("longer") != std::string::npos);
    CHECK(why_not(std::string(kMaxCaptureLine, '[')) == "is no JSON");
    CHECK(!parse_capture_header(R"({"capture":2,"bus":"a","channels":[]})"));
    CHECK(!parse_capture_header(R"({"capture":1,"bus":"a","channels":["a","a"]})"));
}
