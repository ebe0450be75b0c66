// Two years of roasting days against a small budget, looked at after every write and every step of upkeep:
// the record is never over its budget by more than a day while something may go, and no roast loses anything.
//
// Scaled down so that it takes seconds: a roasting day a week (104, not 500), of 50 minutes with up to three
// roasts of about two minutes, twice a second, and two months in the place of twelve; the wall clock is the
// test's and shows the two years. What is kept before and after a roast and the size of an upkeep step are as
// they are. DRUMWATCH_SEED sets another seed.
#include <array>
#include <cstdlib>
#include <iostream>
#include <map>
#include <optional>

#include "support/random.hpp"
#include "support/sample_record.hpp"
#include "upkeep_site.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kDayMs = 86'400'000;
constexpr int kDays = 104;
constexpr std::int64_t kDayS = 3000;
constexpr std::int64_t kPieceS = 60;  ///< written at once, then upkeep
constexpr std::int64_t kPeriodMs = 500;
constexpr std::size_t kFramesInARow = 20;
constexpr std::int64_t kBudgetBytes = 200 * 4096;
constexpr int kRawMonths = 2;
constexpr WallTime kBegin{1'764'000'000'000};

/// A roast as the test knows it: from `from` to `to` (ticks) nothing of it may ever go.
struct Known {
    std::uint64_t id = 0;
    std::uint64_t watch = 0;
    std::int64_t charge = 0;
    std::optional<std::int64_t> drop;
    bool withdrawn = false;
    std::int64_t from() const { return charge - kKeptBeforeChargeMs; }
    std::int64_t to() const { return drop ? *drop + kKeptAfterDropMs : charge + kKeptWithoutDropMs; }
    bool keeps(std::uint64_t of, std::int64_t first, std::int64_t last) const {
        return !withdrawn && watch == of && first <= to() && last >= from();
    }
};

std::int64_t used_bytes(Site& site) {
    Database& database = site.opened.database;
    return (database.number("PRAGMA page_count").value() - database.number("PRAGMA freelist_count").value()) *
           database.number("PRAGMA page_size").value();
}

class TwoYears {
  public:
    explicit TwoYears(std::uint64_t seed) : random_(seed) {
        REQUIRE(site_.opened.database
                    .run("CREATE TEMP TABLE gone(watch, from_ms, to_ms); CREATE TEMP TRIGGER note_gone AFTER "
                         "DELETE ON main.frames BEGIN INSERT INTO gone VALUES(old.watch, old.from_ms, "
                         "old.to_ms); END")
                    .ok());
        reader_ = std::move(RecordReader::open(site_.path).value());
    }

    void day(int number) {
        const bool goes_on = watch_ != 0 && !ended_ && random_.below(2) == 0;
        std::int64_t today = -used_bytes(site_);
        if (!goes_on) begin_watch(number);
        today += used_bytes(site_);
        const std::int64_t from = (number - first_day_) * 7 * kDayMs;
        const auto frames = sample_roast(random_.bits(), from, kDayS, kPeriodMs);
        day_[watch_].insert(day_[watch_].end(), frames.begin(), frames.end());
        std::int64_t next_charge = from + 1000 * (200 + static_cast<std::int64_t>(random_.below(400)));
        const std::size_t piece = static_cast<std::size_t>(kPieceS * 1000 / kPeriodMs);
        for (std::size_t i = 0; i < frames.size(); i += piece) {
            const std::int64_t before = used_bytes(site_);
            site_.put_frames(watch_, std::span(frames).subspan(i, piece), kFramesInARow);
            newest_ = frames[i + piece - 1].tick.ms;
            roast_goes_on(next_charge);
            today += used_bytes(site_) - before;
            day_takes = std::max(day_takes, today);
            check_bound();
            // As the recorder does it: repacking at any time, the rest at quiet moments.
            while (step(upkeep_.repack_one())) continue;
            for (int left = in_drum_ ? 0 : 3; left > 0 && step(upkeep_.keep_within(now())); --left) continue;
        }
        if (random_.below(3) > 0) end_watch();
        while (step(upkeep_.keep_within(now()))) continue;
        check_rested();
        REQUIRE(site_.opened.database.run("PRAGMA wal_checkpoint(PASSIVE)").ok());
    }
    void check_all() {
        for (const Known& roast : roasts_) check_frames(roast);
        CHECK(site_.opened.database.text("PRAGMA integrity_check").value() == "ok");
    }
    int steps = 0;
    int pressed = 0;                ///< days that ended within the budget, and only because frames went
    int roasts_alone = 0;           ///< days that ended over it with nothing left to go
    std::int64_t thinned_rows = 0;  ///< seen at the days' ends
    std::int64_t furthest_over = 0;
    std::int64_t day_takes = 0;  ///< what was written on the fullest day yet
    std::size_t roasts() const { return roasts_.size(); }
    std::uint64_t watches() const { return watch_; }

  private:
    WallTime now() const { return {began_.unix_ms + newest_}; }

    void begin_watch(int number) {
        if (!ended_) end_watch();
        ++watch_;
        ended_ = false;
        first_day_ = number;
        began_ = {kBegin.unix_ms + number * 7 * kDayMs +
                  static_cast<std::int64_t>(random_.below(8)) * 3'600'000};
        WatchRow watch = sample_watch(watch_);
        watch.began = began_;
        site_.put(watch);
    }
    void end_watch() {
        if (watch_ != 0) site_.put(Row{WatchEnd{watch_, newest_}});
        ended_ = true;
    }

    /// Charges and drops that fall into what is written now. One in twelve charges is taken back, one in
    /// twenty roasts never has a drop.
    void roast_goes_on(std::int64_t& next_charge) {
        if (!in_drum_ && newest_ >= next_charge && newest_ < next_charge + 2 * kPieceS * 1000) {
            roasts_.push_back({roasts_.size() + 1, watch_, next_charge, std::nullopt, false});
            in_drum_ = true;
            drop_at_ = next_charge + 1000 * (90 + static_cast<std::int64_t>(random_.below(60)));
            put_roast(RoastState::roasting);
            return;
        }
        if (!in_drum_ || newest_ < drop_at_) return;
        in_drum_ = false;
        Known& roast = roasts_.back();
        roast.withdrawn = random_.below(12) == 0;
        const bool lost = random_.below(20) == 0;
        if (!roast.withdrawn && !lost) roast.drop = drop_at_;
        put_roast(roast.withdrawn ? RoastState::withdrawn
                  : lost          ? RoastState::interrupted
                                  : RoastState::finished);
        next_charge = drop_at_ + 1000 * (300 + static_cast<std::int64_t>(random_.below(900)));
    }
    void put_roast(RoastState state) {
        const Known& known = roasts_.back();
        RoastRecord row = sample_roast_row(known.id, known.watch, known.charge, 0);
        row.state = state;
        row.drop = known.drop ? std::optional(Tick{*known.drop}) : std::nullopt;
        site_.put(row);
    }

    /// After one step of upkeep; gives whether there may be more.
    bool step(const Result<bool>& did) {
        REQUIRE_MESSAGE(did.ok(), did.error());
        if (!did.value()) return false;
        REQUIRE(++steps < 100'000);
        check_bound();
        CHECK(site_.opened.database.number("SELECT count(*) FROM roasts").value() ==
              static_cast<std::int64_t>(roasts_.size()));
        for (const Known& roast : touched()) check_frames(roast);
        CHECK(site_.overlapping_rows() == 0);
        return true;
    }
    void check_bound() {
        const std::int64_t most = std::max(kBudgetBytes, floor_) + day_takes;
        const std::int64_t bytes = used_bytes(site_);
        furthest_over = std::max(furthest_over, bytes - std::max(kBudgetBytes, floor_));
        CHECK_MESSAGE(bytes <= most, bytes, " bytes of ", most);
    }
    /// With nothing left to do: within the budget, or nothing is there that may go.
    void check_rested() {
        const std::int64_t bytes = used_bytes(site_);
        const std::int64_t loose = may_go();
        CHECK(unthinned() == 0);
        CAPTURE(loose);
        CHECK(upkeep_.over_budget() == (bytes > kBudgetBytes));
        if (bytes <= kBudgetBytes) {
            pressed += ever_went_ ? 1 : 0;
            return;
        }
        CHECK(loose == 0);
        ++roasts_alone;
        floor_ = bytes;
    }
    /// Rows of frames that touch no roast and are not of the open watch's newest day, by the test's own list.
    std::int64_t may_go() {
        auto rows = std::move(
            Statement::prepare(site_.opened.database, "SELECT watch, from_ms, to_ms FROM frames").value());
        std::int64_t count = 0;
        while (rows.step().value()) {
            const bool young = rows.id(0) == watch_ && !ended_ && rows.integer(2) >= newest_ - 2 * kDayMs;
            count += !young && !kept(rows.id(0), rows.integer(1), rows.integer(2)) ? 1 : 0;
        }
        return count;
    }
    /// Rows outside roasts that are as they were written, of an age at which they no longer should be.
    std::int64_t unthinned() {
        auto rows = std::move(
            Statement::prepare(site_.opened.database,
                               "SELECT watch, f.from_ms, f.to_ms, form, began_at FROM frames f JOIN "
                               "watches w ON w.id=f.watch")
                .value());
        std::int64_t count = 0;
        while (rows.step().value()) {
            const std::int64_t age = now().unix_ms - rows.integer(4) - rows.integer(2);
            const bool thin = rows.integer(3) == static_cast<int>(FrameForm::thinned);
            thinned_rows += thin ? 1 : 0;
            count += !thin && age > (kRawMonths * 31 + 1) * kDayMs &&
                             !kept(rows.id(0), rows.integer(1), rows.integer(2))
                         ? 1
                         : 0;
        }
        return count;
    }
    bool kept(std::uint64_t watch, std::int64_t from, std::int64_t to) const {
        return std::any_of(roasts_.begin(), roasts_.end(),
                           [&](const Known& roast) { return roast.keeps(watch, from, to); });
    }
    /// The roasts that had frames in a row that went, or was written anew, since the last call.
    std::vector<Known> touched() {
        std::vector<Known> found;
        auto rows = std::move(Statement::prepare(site_.opened.database, "SELECT * FROM gone").value());
        std::vector<std::array<std::int64_t, 3>> gone;
        while (rows.step().value()) gone.push_back({rows.integer(0), rows.integer(1), rows.integer(2)});
        rows.reset();
        REQUIRE(site_.opened.database.run("DELETE FROM gone").ok());
        ever_went_ = ever_went_ || !gone.empty();
        for (const Known& roast : roasts_) {
            if (std::any_of(gone.begin(), gone.end(), [&](const auto& row) {
                    return roast.keeps(static_cast<std::uint64_t>(row[0]), row[1], row[2]);
                }))
                found.push_back(roast);
        }
        return found;
    }
    void check_frames(const Known& roast) {
        if (roast.withdrawn) return;
        CAPTURE(roast.id);
        const std::int64_t to = roast.watch == watch_ ? std::min(roast.to(), newest_) : roast.to();
        const auto there = reader_->frames(roast.watch, {roast.from()}, {to});
        REQUIRE_MESSAGE(there.ok(), there.error());
        REQUIRE(same_frames(there.value(), within(day_[roast.watch], roast.from(), to)));
    }

    TestRandom random_;
    Site site_;
    std::unique_ptr<RecordReader> reader_;
    Upkeep upkeep_{site_.opened.database, site_.rows, {kRawMonths, kBudgetBytes}};
    std::vector<Known> roasts_;
    std::map<std::uint64_t, std::vector<Frame>> day_;  ///< by watch, all that was ever written
    std::uint64_t watch_ = 0;
    bool ended_ = true;
    int first_day_ = 0;  ///< of the watch
    WallTime began_;
    std::int64_t newest_ = 0;  ///< tick of the newest frame
    std::int64_t drop_at_ = 0;
    bool in_drum_ = false;
    bool ever_went_ = false;
    std::int64_t floor_ = 0;  ///< what was left when nothing more could go
};

}  // namespace

TEST_CASE("two years keep within age and budget at every step, and lose nothing of a roast") {
    const char* told = std::getenv("DRUMWATCH_SEED");
    const std::uint64_t seed = told ? std::strtoull(told, nullptr, 10) : 20'251'125;
    std::cout << "seed " << seed << "\n";
    TwoYears site(seed);
    for (int number = 0; number < kDays; ++number) {
        CAPTURE(number);
        site.day(number);
    }
    site.check_all();
    MESSAGE(site.roasts(), " roasts in ", site.watches(), " watches, ", site.steps, " steps; ", site.pressed,
            " days within the budget, ", site.roasts_alone, " over it with roasts alone; at most ",
            site.furthest_over, " bytes over, a day takes up to ", site.day_takes);
    CHECK(site.pressed > 20);  // else the budget was never pressed and nothing was proved
    CHECK(site.roasts_alone > 5);
    CHECK(site.furthest_over > 0);
    CHECK(site.thinned_rows > 0);
}

}  // namespace drumwatch
