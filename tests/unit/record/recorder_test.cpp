#include "record/recorder.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <future>
#include <thread>

#include "record/database.hpp"
#include "record/reader.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

std::unique_ptr<Recorder> opened(const std::string& path) {
    auto recorder = Recorder::open({path});
    REQUIRE_MESSAGE(recorder.ok(), recorder.error());
    return std::move(recorder.value());
}

std::unique_ptr<RecordReader> reader(const std::string& path) {
    auto open = RecordReader::open(path);
    REQUIRE_MESSAGE(open.ok(), open.error());
    return std::move(open.value());
}

bool commit(Recorder& recorder, CommandRow command) {
    std::promise<bool> done;
    auto answer = done.get_future();
    recorder.append(std::move(command), [&done](bool ok) { done.set_value(ok); });
    REQUIRE(answer.wait_for(60s) == std::future_status::ready);
    return answer.get();
}

}  // namespace

TEST_CASE("what is appended is there after closing, exactly") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    const auto frames = sample_roast(21, 0, 700, 250, 100, 4);
    {
        auto recorder = opened(path);
        CHECK(recorder->found().next_watch == 1);
        recorder->begin_watch(sample_watch(1));
        recorder->busy(true);
        for (const Frame& frame : frames) recorder->append(frame);
        recorder->append(sample_event(0, 1, 73'000));
        recorder->append(ObservationRow{0, 80'000, "disk_low", 0, true});
        recorder->append(sample_command(0, 480'000, "tablet-1"), nullptr);
        recorder->put(sample_roast_row(1, 0, 20'000, 600));
        recorder->put(TargetRow{"fen-meadow-filter", 3, "approved", "Fen Meadow, washed", "{}", {5}});
    }
    auto read = reader(path);
    const auto back = read->frames(1, {0}, {10'000'000});
    REQUIRE_MESSAGE(back.ok(), back.error());
    CHECK(same_frames(back.value(), frames));
    CHECK(read->events_of_roast(1).value().size() == 1);
    CHECK(read->observations(1).value().size() == 1);
    CHECK(read->commands(1).value().size() == 1);
    CHECK(read->roast(1).value().has_value());
    CHECK(read->target("fen-meadow-filter", 0).value().has_value());
    auto database = Database::open(path, OpenMode::read_only);
    CHECK(database.value().text("SELECT ended FROM watches").value() == "clean");
    CHECK(database.value().text("PRAGMA integrity_check").value() == "ok");
    CHECK(!opened(path)->found().unclean);
}

TEST_CASE("a command is answered only once another connection can see it") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    recorder->begin_watch(sample_watch(1));
    recorder->busy(true);
    for (int i = 0; i < 20; ++i) {
        std::promise<std::int64_t> seen;
        auto answer = seen.get_future();
        const std::string client = "tablet-" + std::to_string(i);
        const auto asked = std::chrono::steady_clock::now();
        recorder->append(sample_command(0, i, client), [&](bool ok) {
            auto other = Database::open(path, OpenMode::read_only);
            seen.set_value(ok ? other.value()
                                    .number("SELECT count(*) FROM commands WHERE client_id='" + client + "'")
                                    .value()
                              : -1);
        });
        REQUIRE(answer.wait_for(60s) == std::future_status::ready);
        CHECK(answer.get() == 1);
        // At once, not with the next second's commit (else 20 of them would take about 20 s).
        CHECK(std::chrono::steady_clock::now() - asked < 10s);
    }
    CHECK(recorder->status().commits >= 20);
}

TEST_CASE("a retry with the same client id is stored once and answered with success") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    recorder->begin_watch(sample_watch(1));
    CHECK(commit(*recorder, sample_command(0, 10, "tablet-1")));
    CHECK(commit(*recorder, sample_command(0, 14, "tablet-1")));
    CHECK(commit(*recorder, sample_command(0, 20, "")));
    CHECK(commit(*recorder, sample_command(0, 30, "")));
    CHECK(reader(path)->commands(1).value().size() == 3);
    recorder->begin_watch(sample_watch(2));
    CHECK(commit(*recorder, sample_command(0, 1, "tablet-1")));
    CHECK(reader(path)->commands(2).value().size() == 1);
}

TEST_CASE("settled is heard once all that was given before is in the record") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    const auto settle = [&] {
        std::promise<void> settled;
        recorder->settled([&] { settled.set_value(); });
        settled.get_future().wait();
    };
    settle();  // nothing waits
    recorder->begin_watch(sample_watch(1));
    recorder->put(sample_roast_row(1, 1, 1'000, 50));
    settle();
    CHECK(reader(path)->roast(1).value().has_value());
    const std::uint64_t commits = recorder->status().commits;
    for (int i = 0; i < 50; ++i) {
        recorder->append(sample_roast(1, i * 1000, 1).front());
        settle();  // frames are not waited for: they have their own pace
    }
    CHECK(recorder->status().commits <= commits + 3);
}

TEST_CASE("a row that can never be stored is refused and holds up nothing") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    recorder->begin_watch(sample_watch(1));
    recorder->append(sample_event(77, 0, 5));  // no such watch
    recorder->append(sample_event(0, 0, 6));
    CHECK(!commit(*recorder, sample_command(78, 7, "lost")));
    CHECK(commit(*recorder, sample_command(0, 8, "kept")));
    const RecorderStatus status = recorder->status();
    CHECK(status.writing);
    CHECK(status.rows_refused == 2);
    CHECK(status.notice.find("refused") != std::string::npos);
    CHECK(reader(path)->events(1, {0}, {100}).value().size() == 1);
}

TEST_CASE("frames out of order or outside a watch count as lost") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    Frame frame;
    recorder->append(frame);
    recorder->begin_watch(sample_watch(1));
    for (const std::int64_t tick : {0, 250, 250, 125, 500}) {
        frame.tick = {tick};
        recorder->append(frame);
    }
    CHECK(commit(*recorder, sample_command(0, 8, "")));
    CHECK(recorder->status().frames_lost == 3);
    CHECK(reader(path)->frames(1, {0}, {1000}).value().size() == 3);
    recorder->end_watch();
    frame.tick = {750};
    recorder->append(frame);
    CHECK(recorder->status().frames_lost == 4);
}

TEST_CASE("a stored target version keeps its first contents") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    recorder->begin_watch(sample_watch(1));
    recorder->put(TargetRow{"filter", 1, "trial", "Fen Meadow, washed", "{\"a\":1}", {5}});
    recorder->put(TargetRow{"filter", 1, "trial", "Fen Meadow, washed", "{\"a\":1}", {6}});
    CHECK(commit(*recorder, sample_command(0, 1, "")));
    CHECK(recorder->status().notice.empty());
    recorder->put(TargetRow{"filter", 1, "trial", "Fen Meadow, washed", "{\"a\":2}", {7}});
    recorder->put(TargetRow{"filter", 2, "approved", "Fen Meadow, washed", "{\"a\":3}", {8}});
    CHECK(commit(*recorder, sample_command(0, 2, "")));
    CHECK(recorder->status().notice.find("new version number") != std::string::npos);
    auto read = reader(path);
    CHECK(read->target("filter", 1).value()->json == "{\"a\":1}");
    CHECK(read->target("filter", 0).value()->json == "{\"a\":3}");
}

TEST_CASE("status tells sizes and the pace follows what is in the drum") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    auto recorder = opened(path);
    recorder->begin_watch(sample_watch(1));
    CHECK(commit(*recorder, sample_command(0, 1, "")));
    const std::uint64_t before = recorder->status().commits;
    recorder->busy(true);
    recorder->append(sample_event(0, 0, 6));
    // Written without being asked for, by the pace alone. The bound only stops a hang.
    const auto until = std::chrono::steady_clock::now() + 60s;
    while (recorder->status().commits == before && std::chrono::steady_clock::now() < until) {
        std::this_thread::sleep_for(10ms);
    }
    const RecorderStatus status = recorder->status();
    CHECK(status.commits == before + 1);
    CHECK(status.waiting == 0);
    CHECK(status.writing);
    CHECK(status.free_mb > 0);
    CHECK(status.used_mb >= 1);
}

TEST_CASE(
    "whenever it is looked at, the record holds a tick's frame with all that was said of it, or none of it") {
    const TempDir folder;
    const std::string path = folder.file("r.db");
    auto recorder = Recorder::open({path});
    REQUIRE(recorder.ok());
    recorder.value()->begin_watch(sample_watch(1));
    recorder.value()->busy(true);
    constexpr std::int64_t kSaid = 50;
    std::atomic<bool> over = false;
    std::int64_t looks = 0;
    std::int64_t apart = 0;
    std::thread looking([&] {
        auto database = Database::open(path, OpenMode::read_only);
        while (database && !over) {
            const auto off = database.value().number(
                "SELECT abs((SELECT ifnull(max(to_ms), -250) FROM frames) -"
                " (SELECT ifnull(max(tick_ms), -250) FROM events)) + (SELECT count(*) FROM events) % 50");
            if (!off) continue;  // there is no table yet
            ++looks;
            apart += off.value() == 0 ? 0 : 1;
        }
    });
    for (const Frame& frame : sample_roast(8, 0, 750)) {
        TickRows tick{frame, {}, {}};
        for (std::int64_t i = 0; i < kSaid; ++i) tick.events.push_back(sample_event(1, 1, frame.tick.ms));
        recorder.value()->append(std::move(tick));
        // Wakes the recorder's thread, which then takes what waits while the next ticks are told.
        recorder.value()->append(sample_command(1, frame.tick.ms, std::to_string(frame.tick.ms)),
                                 [](bool) {});
        if (frame.tick.ms % 5'000 == 0) {
            std::promise<void> written;
            recorder.value()->append(sample_command(1, frame.tick.ms, "p" + std::to_string(frame.tick.ms)),
                                     [&](bool) { written.set_value(); });
            written.get_future().wait();
        }
    }
    over = true;
    looking.join();
    MESSAGE(looks, " looks");
    CHECK(looks > 20);
    CHECK(apart == 0);
}

}  // namespace drumwatch
