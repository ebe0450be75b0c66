// The site's reminders, over a real record: what is counted, and from when on.
#include "service/reminder_desk.hpp"

#include <doctest/doctest.h>

#include <future>

#include "desk.hpp"
#include "files/target_json.hpp"

using namespace drumwatch;

namespace {

constexpr std::int64_t kRoast_ms = 600'000;

class Floor {
  public:
    Floor() : recorder_(Desk::open(folder_.file("record.sqlite"))) {
        WatchRow watch;
        watch.id = 1;
        recorder_->begin_watch(watch);
        Target target = *share(straight_target());
        target.charge_kg = 6.5;
        name_ = target.name;
        recorder_->put(TargetRow{target.name, target.version, "approved", target.coffee, write_target(target),
                                 clock_.wall()});
        config_.reminders = {{"empty the chaff bin", ReminderUnit::batches, 3},
                             {"clean the cyclone", ReminderUnit::kilograms, 20},
                             {"look into the duct", ReminderUnit::hours, 0.5}};
        start();
    }

    void state_limiter(const std::string& tested) {
        config_.limiter.stated = true;
        config_.limiter.tested = tested;
        start();
    }

    /// As after a restart: the record only.
    void start() {
        desk_.reset();
        queries_ = std::make_unique<QueryDesk>(folder_.file("record.sqlite"), std::vector<TargetRow>{});
        desk_ = std::make_unique<ReminderDesk>(config_, *recorder_, *queries_, clock_, inbox_.poster());
    }

    void roast(std::uint64_t id, RoastState state, bool of_target = true) {
        RoastRecord row;
        row.id = id;
        row.watch = 1;
        row.station = "Saltmarsh Mill";
        row.state = state;
        row.charge = {static_cast<std::int64_t>(id) * 1'000'000};
        if (state != RoastState::roasting) row.drop = Tick{row.charge.ms + kRoast_ms};
        if (of_target) {
            row.target_name = name_;
            row.target_version = 1;
        }
        recorder_->put(row);
        settle();
    }

    void weigh(std::uint64_t roast, std::int64_t grams) {
        std::promise<void> there;
        recorder_->append({{roast, LateKind::charge_kg, grams, "Ada", "w", clock_.wall()}},
                          [&](bool) { there.set_value(); });
        there.get_future().wait();
    }

    /// A minute later.
    const std::vector<ReminderState>& look() {
        desk_->tick({now_ms_ += 60'000});
        inbox_.run_one();
        return desk_->states();
    }

    CommandAnswer done(const std::string& name, const std::string& id = "a") {
        std::optional<CommandAnswer> given;
        desk_->done({name, "Ada", id}, [&](const CommandAnswer& answer) { given = answer; });
        while (!given) inbox_.run_one();
        return *given;
    }

    ReminderDesk& desk() { return *desk_; }
    Inbox& inbox() { return inbox_; }

  private:
    void settle() {
        std::promise<void> settled;
        recorder_->settled([&] { settled.set_value(); });
        settled.get_future().wait();
    }

    TempDir folder_;
    StillClock clock_;
    Inbox inbox_;
    Config config_;
    std::string name_;
    std::unique_ptr<Recorder> recorder_;
    std::unique_ptr<QueryDesk> queries_;
    std::unique_ptr<ReminderDesk> desk_;
    std::int64_t now_ms_ = 0;
};

}  // namespace

TEST_CASE("batches, kilograms and hours are counted from what was roasted") {
    Floor floor;
    const auto none = floor.look();
    REQUIRE(none.size() == 3);
    CHECK(none[0].counted == 0);
    CHECK_FALSE(none[0].due);
    floor.roast(1, RoastState::finished);
    floor.roast(2, RoastState::aborted);
    floor.roast(3, RoastState::withdrawn);  // no charge at all
    floor.roast(4, RoastState::finished, false);
    floor.roast(5, RoastState::roasting);  // not over
    floor.weigh(1, 6'250);
    const auto some = floor.look();
    CHECK(some[0].unit == "batches");
    CHECK(some[0].counted == 3);
    CHECK(some[0].due);
    CHECK(some[1].unit == "kg");
    CHECK(some[1].counted.value() == doctest::Approx(6.25 + 6.5));  // one weighed, one as planned
    CHECK(some[1].without_weight == 1);
    CHECK_FALSE(some[1].due);
    CHECK(some[2].unit == "h");
    CHECK(some[2].counted.value() == doctest::Approx(3 * kRoast_ms / 3.6e6));
    CHECK(some[2].due);
    CHECK_FALSE(some[2].done_at);
}

TEST_CASE("what is done is counted anew, for that reminder only, and after a restart too") {
    Floor floor;
    for (std::uint64_t id = 1; id <= 3; ++id) floor.roast(id, RoastState::finished);
    floor.roast(4, RoastState::roasting);
    CHECK(floor.look()[0].due);
    CHECK(floor.done("empty the chaff bin").status == 200);
    CHECK(floor.done("empty the chaff bin").status == 200);  // sent again
    auto now = floor.look();
    CHECK(now[0].counted == 0);
    CHECK(now[0].done_by == "Ada");
    CHECK(now[0].done_at->unix_ms == 1'700'000'000'000);
    CHECK(now[1].counted.value() == doctest::Approx(19.5));
    floor.roast(4,
                RoastState::finished);  // it was in the drum when the bin was emptied: its chaff came after
    floor.start();
    now = floor.look();
    CHECK(now[0].counted == 1);
    CHECK(now[0].done_by == "Ada");
    CHECK(now[1].due);
}

TEST_CASE("a reminder that the configuration does not have is not there") {
    Floor floor;
    const CommandAnswer answer = floor.done("polish the sign");
    CHECK(answer.status == 404);
    CHECK(answer.text.find("polish the sign") != std::string::npos);
}

TEST_CASE("the record is asked once a minute, and at once after a saying") {
    Floor floor;
    floor.look();
    floor.roast(1, RoastState::finished);
    floor.desk().tick({61'000});
    CHECK(floor.desk().states()[0].counted == 0);  // nothing was asked, so nothing waits
    floor.done("clean the cyclone");
    floor.desk().tick({62'000});
    floor.inbox().run_one();
    CHECK(floor.desk().states()[0].counted == 1);
    CHECK(floor.desk().states()[1].counted == 0);
}

TEST_CASE(
    "the limiter's test comes round by the calendar, from the day stated or from when it was said to be "
    "done") {
    Floor floor;  // the clock stands at 2023-11-14
    floor.state_limiter("");
    const std::string name(kLimiterTest);
    ReminderState test = floor.look().back();
    CHECK(test.name == name);
    CHECK(test.due);
    CHECK_FALSE(test.counted);
    floor.state_limiter("2022-11-15");
    test = floor.look().back();
    CHECK(test.counted == 11);
    CHECK_FALSE(test.due);
    floor.state_limiter("2022-11-14");
    test = floor.look().back();
    CHECK(test.counted == 12);
    CHECK(test.due);
    CHECK(floor.done(name).status == 200);
    test = floor.look().back();
    CHECK(test.counted == 0);
    CHECK_FALSE(test.due);
    CHECK(test.done_by == "Ada");
}
