#include "watch/watch_file.hpp"

#include <doctest/doctest.h>

#include <fstream>

#include "files/file_bytes.hpp"
#include "support/child_process.hpp"
#include "support/random.hpp"
#include "support/stride.hpp"
#include "support/targets.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

WatchFile sample() {
    WatchFile file;
    file.watch.begin.watch = 17;
    file.watch.begin.build = "0.1.0";
    file.watch.begin.target = share(straight_target());
    file.watch.begin.settings.channels = {Channel{}};
    file.began.unix_ms = 1'764'000'000'123;
    for (int i = 0; i < 5; ++i) {
        Frame frame;
        frame.tick = Tick{250 * i};
        frame.channels = 1;
        frame.samples[0] = {195'300 + i, Quality::good, i != 2};
        file.watch.frames.push_back(frame);
    }
    Command mark;
    mark.tick = Tick{500};
    mark.at = Tick{300};
    mark.who = "left \"tablet\"";
    mark.client_id = "a-1";
    file.watch.commands = {mark};
    file.watch.observations = {{Tick{750}, Health::disk_low, 0, true}};
    file.journal = {"0\t0\tquality_changed\t0\t{}\tchannel 0 is good",
                    "750\t750\thealth_changed\t0\t{}\tüber"};
    return file;
}

}  // namespace

TEST_CASE("a watch comes back from its file without loss") {
    const std::string text = watch_file_text(sample());
    const auto back = parse_watch_file(text);
    REQUIRE_MESSAGE(back.ok(), (back.ok() ? "" : back.error()));
    CHECK(watch_file_text({back.value().watch, sample().began, back.value().journal}) == text);
    CHECK(back.value().watch.commands[0].who == "left \"tablet\"");
    CHECK(back.value().watch.frames.size() == 5);
    CHECK(back.value().journal == sample().journal);
    CHECK(text.find("\"began\":\"2025-11-24T16:00:00.123Z\"") != std::string::npos);
}

TEST_CASE("a watch file cut at any byte is refused, packed or not, and says what is wrong") {
    const std::string text = watch_file_text(sample());
    for (std::size_t i = 0; i + 1 < text.size(); i += kStride) {  // only its last end of line may be missing
        const auto read = parse_watch_file(text.substr(0, i));
        REQUIRE_FALSE(read.ok());
        CHECK(read.error().find("line ") != std::string::npos);
    }
    const std::string packed = pack_gzip(text).value();
    CHECK(unpack_gzip(packed, 1 << 20).value() == text);
    for (std::size_t i = 0; i < packed.size(); ++i)
        REQUIRE_FALSE(unpack_gzip(packed.substr(0, i), 1 << 20).ok());
    // RFC 1952: magic number, method and flags matter; time, extra flags and system do not; then the check
    // sums.
    for (std::size_t i = 10; i < packed.size(); ++i) {
        std::string flipped = packed;
        flipped[i] = static_cast<char>(flipped[i] ^ 0x55);
        const auto read = unpack_gzip(flipped, 1 << 20);
        REQUIRE_FALSE(read.ok());
    }
}

TEST_CASE("any byte of a watch file may be flipped: it is refused or read, never more") {
    const std::string text = watch_file_text(sample());
    TestRandom random(7);
    for (std::size_t i = 0; i < text.size(); i += kStride) {
        std::string flipped = text;
        flipped[i] = static_cast<char>(flipped[i] ^ static_cast<char>(1 + random.below(255)));
        const auto read = parse_watch_file(flipped);
        if (read.ok()) CHECK(read.value().watch.frames.size() == 5);
    }
}

TEST_CASE("lines out of order, missing, twice or of another form are refused") {
    const std::string text = watch_file_text(sample());
    const auto without = [&](const std::string& line) {
        std::string other = text;
        const std::size_t at = other.find(line);
        REQUIRE(at != std::string::npos);
        return other.erase(at, other.find('\n', at) + 1 - at);
    };
    CHECK_FALSE(parse_watch_file(without("{\"frame\":500")).ok());
    CHECK_FALSE(parse_watch_file(without("{\"journal\":\"0")).ok());
    CHECK_FALSE(parse_watch_file(without("{\"command\"")).ok());
    CHECK_FALSE(parse_watch_file(text + "{\"frame\":2000,\"samples\":[]}\n").ok());
    CHECK_FALSE(parse_watch_file("").ok());
    std::string newer = text;
    newer.replace(newer.find(":1,"), 3, ":2,");
    CHECK(parse_watch_file(newer).error().find("form 1") != std::string::npos);
}

// Outside check: python3's gzip and json modules read the file line by line (RFC 1952, RFC 8259).
TEST_CASE("an independent reader finds every frame, command and line of the journal in a packed watch") {
    TempDir folder;
    const std::string path = folder.file("watch.jsonl.gz");
    std::ofstream(path, std::ios::binary) << pack_gzip(watch_file_text(sample())).value();
    const std::string script =
        "import gzip, json, sys\n"
        "lines = [json.loads(l) for l in gzip.open(sys.argv[1], 'rt', encoding='utf-8')]\n"
        "frames = [l for l in lines if 'frame' in l]\n"
        "print(lines[0]['begin']['watch'], [f['frame'] for f in frames], sum(f['samples'][0][0] for f in "
        "frames),\n"
        "      [l['who'] for l in lines if 'command' in l], [l['journal'][-4:] for l in lines if 'journal' "
        "in l],\n"
        "      lines[-1]['end']['frames'])\n";
    const Finished read =
        run_program({"python3", "-X", "utf8", "-c", script, path}, std::chrono::seconds(60));
    CHECK_MESSAGE(
        read.output == "17 [0, 250, 500, 750, 1000] 976510 ['left \"tablet\"'] ['good', 'über'] 5\n",
        read.output, read.errors);
}
