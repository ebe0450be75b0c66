// The real daemon killed at random moments, over TCP, while batches overlap and a tablet sends marks.
// DRUMWATCH_KILLS sets how often (12 unless told); the seed is printed.
#include <doctest/doctest.h>
#include <sqlite3.h>

#include <chrono>
#include <cstdlib>
#include <iostream>
#include <map>
#include <set>
#include <thread>

#include "station.hpp"
#include "support/random.hpp"
#include "support/raw_client.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

int from_environment(const char* name, int otherwise) {
    const char* text = std::getenv(name);
    return text ? std::atoi(text) : otherwise;
}

/// A tablet that marks yellow again and again, and knows which of its marks were answered.
class Tablet {
  public:
    std::set<std::string> acknowledged;

    /// One mark; false: no answer came. A mark without an answer is sent again first.
    bool mark(std::uint16_t port) {
        if (unanswered_.empty()) unanswered_ = "tablet-" + std::to_string(++sent_);
        // One connection as long as it lasts: thousands of closed ones would use up the ports.
        if (!client_) client_.emplace(port);
        const RawResponse answer =
            client_->post("/api/marks", R"({"mark":"yellow","client_id":")" + unanswered_ + "\"}");
        if (answer.status == 0) {
            client_.reset();
            return false;
        }
        if (answer.status == 200) acknowledged.insert(unanswered_);
        unanswered_.clear();
        return true;
    }

  private:
    std::optional<RawClient> client_;
    std::string unanswered_;
    int sent_ = 0;
};

std::string integrity(const std::string& path) {
    sqlite3* database = nullptr;
    std::string said = "can't be opened";
    if (sqlite3_open_v2(path.c_str(), &database, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK) {
        const auto keep = [](void* text, int, char** values, char**) {
            *static_cast<std::string*>(text) = values[0];
            return 0;
        };
        sqlite3_exec(database, "PRAGMA integrity_check", keep, &said, nullptr);
    }
    sqlite3_close(database);
    return said;
}

std::map<std::string, int> recorded_marks(const std::string& path) {
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader, reader.error());
    std::map<std::string, int> times;
    for (std::uint64_t watch = 1; reader.value()->watch(watch).value(); ++watch) {
        const auto rows = reader.value()->commands(watch).value();
        for (const CommandRow& row : rows) ++times[row.client_id];
    }
    return times;
}

}  // namespace

TEST_CASE("killed at random moments: what was acknowledged is there once, and every journal reruns") {
    const int kills = from_environment("DRUMWATCH_KILLS", 12);
    const auto seed = static_cast<std::uint64_t>(from_environment("DRUMWATCH_SEED", 20261125));
    std::cout << "seed " << seed << ", " << kills << " kills\n";
    TestRandom random(seed);
    StationPlan plan;
    plan.simulator = {"--seed", std::to_string(seed % 1000), "--batches", "1000"};
    plan.stepped = false;
    plan.speed = 12;
    StationRun station(plan);
    station.await_truth("charge", "\"batch\":1");  // however slow the machine: there is a batch to go on with
    Tablet tablet;
    int resumed = 0;
    for (int kill = 0; kill < kills; ++kill) {
        CAPTURE(kill);
        const auto until = std::chrono::steady_clock::now() +
                           std::chrono::milliseconds(static_cast<int>(random.uniform(20, 2500)));
        while (std::chrono::steady_clock::now() < until) {
            tablet.mark(station.port());
            std::this_thread::sleep_for(10ms);  // many hands, not a flood
        }
        const std::string said = station.kill_and_restart();
        resumed += said.find("goes on after a gap of") != std::string::npos;
        CHECK_MESSAGE(said.find("is not gone on with") == std::string::npos, said);
    }
    tablet.mark(station.port());
    station.stop();  // reruns every watch
    CHECK(integrity(station.record_path()) == "ok");
    const auto times = recorded_marks(station.record_path());
    for (const std::string& id : tablet.acknowledged) CHECK_MESSAGE(times.count(id) == 1, id, " was lost");
    for (const auto& [id, count] : times) CHECK_MESSAGE(count == 1, id, " acted ", count, " times");
    std::cout << tablet.acknowledged.size() << " marks acknowledged, " << times.size() << " recorded; "
              << resumed << " of " << kills << " starts went on with a batch\n";
    CHECK(tablet.acknowledged.size() > static_cast<std::size_t>(kills) / 4);
    CHECK(resumed > kills / 4);
}
