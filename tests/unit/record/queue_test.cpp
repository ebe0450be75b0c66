#include "record/queue.hpp"

#include <doctest/doctest.h>

#include "support/sample_record.hpp"

namespace drumwatch {
namespace {

WatchFrame frame_at(std::int64_t ms) {
    WatchFrame frame;
    frame.watch = 1;
    frame.frame.tick = {ms};
    return frame;
}

}  // namespace

TEST_CASE("a full queue lets the oldest frames go and no row") {
    RecordQueue queue(10);
    for (int i = 0; i < 25; ++i) {
        queue.push(frame_at(i));
        queue.push(Row{sample_event(1, 0, i)});
    }
    CHECK(queue.lost() == 15);
    const CommitGroup batch = queue.take();
    CHECK(batch.rows.size() == 25);
    REQUIRE(batch.frames.size() == 10);
    CHECK(batch.frames.front().frame.tick.ms == 15);
}

TEST_CASE("what could not be written comes before what came since") {
    RecordQueue queue(10);
    for (int i = 0; i < 6; ++i) queue.push(frame_at(i));
    queue.push(Row{sample_event(1, 0, 1)});
    CommitGroup batch = queue.take();
    CHECK(queue.size() == 7);
    for (int i = 6; i < 14; ++i) queue.push(frame_at(i));
    queue.push(Row{sample_command(1, 2, "a")});
    bool told = false;
    queue.wait_for([&](bool) { told = true; });
    queue.put_back(std::move(batch));
    CHECK(queue.lost() == 4);
    batch = queue.take();
    REQUIRE(batch.rows.size() == 2);
    CHECK(std::holds_alternative<EventRow>(batch.rows[0]));
    CHECK(batch.frames.front().frame.tick.ms == 4);
    CHECK(batch.frames.back().frame.tick.ms == 13);
    REQUIRE(batch.waiting.size() == 1);
    CHECK(batch.waiting[0].row == 1);
    batch.waiting[0].committed(true);
    CHECK(told);
}

TEST_CASE("a roast that waits is replaced where it stands") {
    RecordQueue queue(10);
    RoastRecord roast = sample_roast_row(4, 1, 0, 600);
    roast.state = RoastState::roasting;
    queue.push_roast(roast);
    queue.push(Row{sample_event(1, 4, 5)});
    roast.state = RoastState::finished;
    queue.push_roast(roast);
    const CommitGroup batch = queue.take();
    REQUIRE(batch.rows.size() == 2);
    CHECK(std::get<RoastRecord>(batch.rows[0]).state == RoastState::finished);
}

}  // namespace drumwatch
