// Checks, calibrations and changes of probes, over a real record.
#include "service/probe_desk.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "desk.hpp"
#include "service/target_epoch.hpp"

using namespace drumwatch;

namespace {

constexpr std::size_t kBean = 0;

class Bath {
  public:
    Bath() : recorder_(Desk::open(folder_.file("record.sqlite"))) {
        config_.channels = {make_channel("bean", Unit::celsius), make_channel("burner", Unit::percent)};
        config_.probes.check_every_days = 180;
        config_.probes.altitude_m = 0;
        start();
    }
    /// As after a restart: what holds comes from the record.
    void start() {
        const auto log = RecordReader::open(folder_.file("record.sqlite")).value()->probe_log();
        REQUIRE_MESSAGE(log.ok(), log.error());
        log_ = log.value();
        desk_.reset();
        latest_ = LatestReadings(config_.channels);
        desk_ = std::make_unique<ProbeDesk>(config_, log_, latest_, *recorder_, clock_, inbox_.poster(),
                                            [this](std::size_t channel) { epochs.push_back(channel); });
    }
    /// So many seconds at 4 Hz; what the newest frame has.
    Milli stay(double seconds, Milli reads, Milli swing = 0) {
        Frame frame;
        for (int i = 0; i < static_cast<int>(seconds * 4); ++i) {
            latest_.take({0, reads + (i % 2 == 0 ? swing : -swing), Quality::good});
            now_ = now_ + 250;
            frame = latest_.frame(now_, 0);
            if (const auto told = desk_->tick(now_, roasting)) observations.push_back(*told);
        }
        return frame.samples[kBean].value_milli;
    }
    CommandAnswer say(const ProbeSaid& said) {
        std::optional<CommandAnswer> given;
        desk_->take_saying(said, [&](const CommandAnswer& answer) { given = answer; });
        while (!given) inbox_.run_one();
        return *given;
    }
    /// Said so often before anything of it is committed; all answers.
    std::vector<CommandAnswer> say_at_once(const ProbeSaid& said, std::size_t times) {
        std::vector<CommandAnswer> given;
        for (std::size_t i = 0; i < times; ++i)
            desk_->take_saying(said, [&](const CommandAnswer& answer) { given.push_back(answer); });
        while (given.size() < times) inbox_.run_one();
        return given;
    }
    CommandAnswer check(const std::string& method, const std::string& id = "c") {
        return say(ProbeChecked{"bean", method, {}, {}, "", "Ada", id});
    }
    CommandAnswer calibrate(std::vector<ProbeCalibrated::Point> points, const std::string& id = "k") {
        return say(ProbeCalibrated{"bean", std::move(points), "", "Ada", id});
    }
    void judge(const Snapshot& snapshot) { desk_->judged(snapshot); }
    nlohmann::json json(const Snapshot& now) const { return nlohmann::json::parse(desk_->json(now, {})); }
    nlohmann::json json() const { return nlohmann::json::parse(desk_->json(Snapshot{}, {})); }
    const std::vector<ProbeRow>& log() const { return log_; }

    Config config_;
    StillClock clock_;
    std::vector<std::size_t> epochs;
    std::vector<Observation> observations;
    bool roasting = false;

  private:
    TempDir folder_;
    Inbox inbox_;
    std::unique_ptr<Recorder> recorder_;
    LatestReadings latest_{ChannelTable{}};
    std::vector<ProbeRow> log_;
    std::unique_ptr<ProbeDesk> desk_;
    Tick now_;
};

bool has(const std::string& text, const char* part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE(
    "an ice point and a boiling point, then a calibration by both: readings are right, and stay so after a "
    "restart") {
    Bath bath;
    bath.stay(20, 600);
    const CommandAnswer ice = bath.check("ice_point");
    CHECK(ice.status == 200);
    CHECK(has(ice.text, "shows 0.6 °C where 0.0 °C is true: 0.6 too high"));
    bath.stay(30, 99'200);
    const CommandAnswer boiling = bath.check("boiling_point", "d");
    CHECK(has(boiling.text, "shows 99.2 °C where 100.0 °C is true: 0.8 too low"));  // 99.97 °C at 1013.25 hPa
    CHECK(bath.calibrate({{0.6, 0}, {99.2, 99.974}}).status == 200);
    CHECK(bath.stay(1, 600) == 0);
    CHECK(bath.stay(1, 99'200) == 99'974);
    CHECK(bath.stay(1, 187'000) == 187'774);  // beyond the points the last correction holds on
    bath.start();
    CHECK(bath.stay(1, 99'200) == 99'974);
    const auto probe = bath.json()["probes"][0];
    CHECK(bath.json()["probes"].size() == 1);
    CHECK(probe["calibration"].size() == 2);
    CHECK(probe["last_check"]["method"] == "boiling_point");
    CHECK(probe["last_check"]["reads_c"] == 99.2);
    CHECK(probe["reads_c"] == 99.2);
    REQUIRE(bath.log().size() == 3);
    CHECK(bath.log()[2].before.empty());
    CHECK(bath.log()[2].after == "600=0 99200=99974");
    // A later check is of what is shown, and keeps what the probe reads by itself.
    bath.stay(20, 99'200);
    CHECK(has(bath.check("boiling_point", "e").text, "which is right"));
    CHECK(bath.calibrate({}, "l").status == 200);
    CHECK(bath.stay(1, 99'200) == 99'200);
}

TEST_CASE("a check is refused where nothing steady is read, or it is not known what is true") {
    Bath bath;
    CHECK(bath.check("ice_point").status == 409);
    bath.stay(5, 500);
    CHECK(has(bath.check("ice_point").text, "for 15 s yet"));
    bath.stay(30, 500, 600);
    CHECK(has(bath.check("ice_point").text, "is not steady: -0.1 to 1.1 °C"));
    bath.stay(30, 500, 400);
    bath.config_.probes.altitude_m.reset();
    bath.start();
    bath.stay(30, 99'000);
    CHECK(bath.check("boiling_point").status == 422);
    CHECK(bath.say(ProbeChecked{"bean", "boiling_point", {}, 900, "", "Ada", "x"}).status == 200);
    CHECK(bath.check("comparison").status == 422);
    CHECK(bath.say(ProbeChecked{"bean", "comparison", 98.5, {}, "", "Ada", "y"}).status == 200);
    CHECK(bath.say(ProbeChecked{"baen", "ice_point", {}, {}, "", "Ada", "z"}).status == 404);
    CHECK(bath.say(ProbeChecked{"burner", "ice_point", {}, {}, "", "Ada", "z"}).status == 422);
}

TEST_CASE("with a batch in the drum nothing is done to its probes") {
    Bath bath;
    bath.roasting = true;
    bath.stay(30, 500);
    CHECK(bath.check("ice_point").status == 409);
    CHECK(bath.calibrate({{0.5, 0}}).status == 409);
    CHECK(bath.say(ProbeChanged{"bean", "wiped", "", "Ada", "w"}).status == 409);
    CHECK(bath.epochs.empty());
}

TEST_CASE("a calibration beyond what the site allows is refused, and the one before holds on") {
    Bath bath;
    CHECK(bath.calibrate({{100, 99}}).status == 200);
    const CommandAnswer refused = bath.calibrate({{100, 93}}, "m");
    CHECK(refused.status == 422);
    CHECK(has(refused.text, "look at the probe and its wiring first"));
    CHECK(bath.stay(1, 100'000) == 99'000);
}

TEST_CASE("a wiped probe begins an epoch, once, though the tablet says it twice") {
    Bath bath;
    const ProbeChanged wiped{"bean", "wiped", "chaff", "Ada", "w"};
    CHECK(bath.say(wiped).status == 200);
    CHECK(has(bath.say(wiped).text, "said already"));
    CHECK(bath.epochs == std::vector<std::size_t>{kBean});
    CHECK(bath.json()["probes"][0]["epoch"]["what"] == "wiped");
    bath.start();
    CHECK(bath.log().size() == 1);
    CHECK(bath.json()["probes"][0]["epoch"]["note"] == "chaff");
}

TEST_CASE("an overdue check is told once, and a check ends it") {
    Bath bath;
    bath.stay(20, 400);
    REQUIRE(bath.observations.size() == 1);  // never checked
    CHECK(bath.observations[0].health == Health::probe_check_overdue);
    CHECK(bath.observations[0].bad);
    CHECK(bath.check("ice_point").status == 200);
    bath.stay(1, 400);
    REQUIRE(bath.observations.size() == 2);
    CHECK(!bath.observations[1].bad);
    CHECK(bath.json()["probes"][0]["check_due_days"] == 180);
}

TEST_CASE("a target from before the epoch asks to be confirmed, until somebody does") {
    ProbeRow wiped;
    wiped.channel = "bean";
    wiped.act = ProbeAct::wiped;
    wiped.at = {1'000};
    ProbeRow other = wiped;
    other.channel = "exhaust";
    CHECK(epoch_doubt({other}, "fen-meadow", {500}).empty());
    CHECK(has(epoch_doubt({wiped, other}, "fen-meadow", {500}),
              "before the bean probe was wiped on 1970-01-01"));
    CHECK(epoch_doubt({wiped}, "fen-meadow", {1'001}).empty());
    ProbeRow confirmed = wiped;
    confirmed.act = ProbeAct::target_confirmed;
    confirmed.note = "fen-meadow";
    confirmed.at = {2'000};
    CHECK(epoch_doubt({wiped, confirmed}, "fen-meadow", {500}).empty());
    CHECK(!epoch_doubt({wiped, confirmed}, "long-drove", {500}).empty());
    ProbeRow again = wiped;
    again.act = ProbeAct::replaced;
    again.at = {3'000};
    CHECK(has(epoch_doubt({wiped, confirmed, again}, "fen-meadow", {500}), "replaced"));
}

TEST_CASE("a calibration as text, and back") {
    const Calibration two{{-500, 0}, {99'200, 99'974}};
    CHECK(calibration_text(two) == "-500=0 99200=99974");
    CHECK(parse_calibration("-500=0 99200=99974") == two);
    CHECK(parse_calibration("")->empty());
    for (const char* wrong : {"5", "5=", "=5", "5=6x", "5=6  7=8", "a=b"}) CHECK(!parse_calibration(wrong));
}

TEST_CASE(
    "what is wrong with a probe is told with its name, a sentence, what to look at first, and a count") {
    Bath bath;
    Snapshot snapshot;
    snapshot.channel[kBean].quality = Quality::good;
    bath.judge(snapshot);
    CHECK(bath.json(snapshot)["probes"][0]["probe_fault"].is_null());
    CHECK(bath.json(snapshot)["probes"][0]["probe_faults"].empty());
    snapshot.channel[kBean].doubt = ProbeDoubt::apart_from_twin;
    bath.judge(snapshot);
    CHECK(bath.json(snapshot)["probes"][0]["probe_fault"]["name"] == "apart_from_twin");
    snapshot.channel[kBean].quality = Quality::reversed;
    bath.judge(snapshot);
    const auto probe = bath.json(snapshot)["probes"][0];
    CHECK(probe["probe_fault"]["name"] == "reversed");
    CHECK(probe["probe_fault"]["sentence"] == "The reading falls when the machine is heated.");
    CHECK(has(probe["probe_fault"]["look_first"].get<std::string>(), "the wrong way round"));
    CHECK(probe["probe_faults"] == nlohmann::json{{"apart_from_twin", 1}, {"reversed", 1}});
}

TEST_CASE("a retry that comes before the first one's commit acts once, and both get its answer") {
    Bath bath;
    bath.stay(20, 500);
    for (const CommandAnswer& answer : bath.say_at_once(ProbeChanged{"bean", "wiped", "", "Ada", "w"}, 3)) {
        CHECK(answer.status == 200);
        CHECK(has(answer.text, "counts for little"));
    }
    CHECK(bath.epochs.size() == 1);
    // A refusal reaches all of them too, and may be tried again under its id.
    bath.roasting = true;
    bath.stay(1, 500);
    for (const CommandAnswer& answer : bath.say_at_once(ProbeChanged{"bean", "moved", "", "Ada", "m"}, 2))
        CHECK(answer.status == 409);
    bath.roasting = false;
    bath.stay(1, 500);
    CHECK(bath.say(ProbeChanged{"bean", "moved", "", "Ada", "m"}).status == 200);
    CHECK(bath.epochs.size() == 2);
    bath.start();
    CHECK(bath.log().size() == 2);
    // Nor does one act again that comes after a restart.
    CHECK(has(bath.say(ProbeChanged{"bean", "wiped", "", "Ada", "w"}).text, "said already"));
    CHECK(bath.epochs.size() == 2);
}
