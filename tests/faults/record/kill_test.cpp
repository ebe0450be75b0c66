// kill -9 of a real process that appends: whatever it was answered as recorded is there afterwards, exactly
// once.
#include <doctest/doctest.h>

#include <chrono>
#include <cstdlib>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include "record/database.hpp"
#include "record/reader.hpp"
#include "support/child_process.hpp"
#include "support/random.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

struct Heard {
    std::vector<std::string> acknowledged;
    std::vector<std::string> found;
};

void hear(const std::string& line, Heard& heard) {
    CAPTURE(line);
    REQUIRE(line.rfind("refused", 0) != 0);
    if (line.rfind("ack ", 0) == 0) heard.acknowledged.push_back(line.substr(4));
    if (line.rfind("found ", 0) == 0) heard.found.push_back(line.substr(6));
}

/// Runs the appender, hears `lines` acknowledgements and a random moment more, kills it, hears the rest.
Heard run_and_kill(const std::string& program, const std::string& path, std::uint64_t lines,
                   std::uint64_t more_us) {
    Heard heard;
    ChildProcess child({program, path});
    while (heard.acknowledged.size() < lines) {
        const auto line = child.read_line(60s);
        REQUIRE(line.has_value());
        hear(*line, heard);
    }
    std::this_thread::sleep_for(std::chrono::microseconds(more_us));
    child.kill();
    for (auto line = child.read_line(10s); line; line = child.read_line(10s)) {
        if (line->rfind("ack ", 0) == 0) hear(*line, heard);
    }
    return heard;
}

void check_record(const std::string& path, const std::vector<std::string>& acknowledged) {
    auto database = Database::open(path, OpenMode::read_only);
    REQUIRE(database.ok());
    CHECK(database.value().text("PRAGMA integrity_check").value() == "ok");
    CHECK(database.value().text("PRAGMA foreign_key_check").value().empty());
    auto statement = Statement::prepare(database.value(), "SELECT client_id FROM commands");
    REQUIRE(statement.ok());
    std::multiset<std::string> stored;
    while (statement.value().step().value()) stored.insert(statement.value().string(0));
    for (const std::string& id : acknowledged) {
        CAPTURE(id);
        REQUIRE(stored.count(id) == 1);
    }
}

}  // namespace

TEST_CASE("after kill -9 each acknowledged command is there exactly once") {
    const char* program = std::getenv("RECORD_APPENDER");
    REQUIRE_MESSAGE(program != nullptr, "RECORD_APPENDER must name the child program");
    const auto seed = static_cast<std::uint64_t>(std::chrono::system_clock::now().time_since_epoch().count());
    MESSAGE("seed ", seed);
    TestRandom random(seed);
    const TempDir folder;
    const std::string path = folder.file("record.db");
    std::vector<std::string> acknowledged;
    constexpr int kKills = 20;
    for (int kill = 0; kill < kKills; ++kill) {
        CAPTURE(kill);
        const Heard heard = run_and_kill(program, path, 1 + random.below(20), random.below(30'000));
        acknowledged.insert(acknowledged.end(), heard.acknowledged.begin(), heard.acknowledged.end());
        REQUIRE(!heard.found.empty());
        const bool told = heard.found.back().find("was in the drum") != std::string::npos;
        CHECK(told == (kill > 0));
        check_record(path, acknowledged);
    }
    CHECK(acknowledged.size() >= kKills);
    auto reader = RecordReader::open(path);
    REQUIRE(reader.ok());
    for (std::uint64_t watch = 1; watch <= kKills; ++watch) {
        const auto frames = reader.value()->frames(watch, {0}, {1'000'000'000}).value();
        const auto sent = sample_roast(watch, 0, 600);
        REQUIRE(!frames.empty());
        for (std::size_t i = 0; i < frames.size(); ++i) {
            Frame expected = sent[i % sent.size()];
            expected.tick = {static_cast<std::int64_t>(i) * 250};
            REQUIRE(same_frames({frames[i]}, {expected}));  // no gap, no other value
        }
    }
}

}  // namespace drumwatch
