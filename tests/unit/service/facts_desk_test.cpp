// Weight and colour after the drop: kept in a real record, and judged with the verdict that the engine gave.
#include "service/facts_desk.hpp"

#include <doctest/doctest.h>

#include <future>
#include <nlohmann/json.hpp>

#include "desk.hpp"
#include "files/target_json.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

TargetPtr banded() { return share(banded_target()); }

/// A record with a finished roast 1 of a target with bands, one in the drum (2), and one given up (3).
class Site {
  public:
    Site() : recorder_(Desk::open(folder_.file("record.sqlite"))) {
        WatchRow watch;
        watch.id = 1;
        recorder_->begin_watch(watch);
        const TargetPtr target = banded();
        recorder_->put(TargetRow{target->name, target->version, "approved", target->coffee,
                                 write_target(*target), clock_.wall()});
        put(1, RoastState::finished);
        put(2, RoastState::roasting);
        put(3, RoastState::aborted);
        snapshot_.last_verdict = view(1);
        std::promise<void> settled;
        recorder_->settled([&] { settled.set_value(); });
        settled.get_future().wait();
        start();
    }

    /// As after a restart: the record only.
    void start() {
        desk_.reset();
        queries_ = std::make_unique<QueryDesk>(folder_.file("record.sqlite"), std::vector<TargetRow>{});
        desk_ = std::make_unique<FactsDesk>(*recorder_, *queries_, clock_, inbox_.poster());
        CHECK_FALSE(desk_->shown(snapshot_));  // asks the record
        inbox_.run_one();
    }

    CommandAnswer give(std::uint64_t roast, std::vector<FactGiven> facts, const std::string& id = "a") {
        std::optional<CommandAnswer> given;
        desk_->take({roast, std::move(facts), "Ada", id},
                    [&](const CommandAnswer& answer) { given = answer; });
        while (!given) inbox_.run_one();
        if (given->status == 200 && roast == 1) inbox_.run_one();  // read again
        return *given;
    }

    std::optional<Disposition> shown() {
        const auto verdict = desk_->shown(snapshot_);
        return verdict ? std::optional(verdict->disposition) : std::nullopt;
    }

    json row(std::uint64_t roast) {
        std::promise<std::string> body;
        queries_->ask("roasts/" + std::to_string(roast), "", "",
                      [&](const QueryAnswer& answer) { body.set_value(answer.body); });
        return json::parse(body.get_future().get());
    }

  private:
    static Verdict clear(std::uint64_t roast) {
        Verdict verdict;
        verdict.roast = roast;
        verdict.disposition = Disposition::clear;
        return verdict;
    }
    static VerdictView view(std::uint64_t roast) {
        VerdictView view;
        view.verdict = clear(roast);
        view.target = banded();
        return view;
    }
    void put(std::uint64_t id, RoastState state) {
        RoastRecord row;
        row.id = id;
        row.watch = 1;
        row.state = state;
        row.target_name = banded()->name;
        row.target_version = 1;
        row.reasons = "[]";
        row.moves = "[]";
        if (state == RoastState::finished) {
            row.verdict = clear(id);
            row.drop = Tick{600'000};
        }
        recorder_->put(row);
    }

    TempDir folder_;
    StillClock clock_;
    Inbox inbox_;
    std::unique_ptr<Recorder> recorder_;
    std::unique_ptr<QueryDesk> queries_;
    std::unique_ptr<FactsDesk> desk_;
    Snapshot snapshot_;
};

}  // namespace

TEST_CASE(
    "facts: a weight out of the band makes a clear roast one to taste, and right again once set right") {
    Site site;
    const CommandAnswer within = site.give(1, {{"roasted_kg", 10.26}});
    CHECK(within.status == 200);
    CHECK(
        within.text ==
        "Roast 1: recorded. Weight loss is 14.5 %, within the target's 14 to 15 %. The verdict stays clear.");
    CHECK(site.shown() == Disposition::clear);
    const CommandAnswer out = site.give(1, {{"roasted_kg", 10.14}}, "b");
    CHECK(
        out.text ==
        "Roast 1: recorded. Weight loss is 15.5 %; the target's is 14 to 15 %. The verdict is taste now; it "
        "was clear.");
    CHECK(site.shown() == Disposition::taste);
    json row = site.row(1);
    CHECK(row["verdict"]["disposition"] == "taste");
    CHECK(row["verdict"]["at_drop"] == "clear");
    CHECK(row["verdict"]["reasons"][0]["rule"] == "weight_loss");
    CHECK(row["facts"]["roasted_kg"] == 10.14);
    CHECK(row["facts"]["weight_loss_pct"] == 15.5);
    CHECK(row["facts"]["charge_kg"].is_null());
    CHECK(site.give(1, {{"roasted_kg", 10.14}}, "b").status == 200);  // sent again
    site.start();
    CHECK(site.shown() == Disposition::taste);
    const CommandAnswer less = site.give(1, {{"charge_kg", 11.0}}, "less");
    CHECK(less.text.find("11 kg were charged, 8 % less than the 12 kg planned.") != std::string::npos);
    const CommandAnswer near =
        site.give(1, {{"roasted_kg", 10.2}, {"charge_kg", 11.93}, {"colour", 57.0}}, "c");
    CHECK(near.text.find("planned") == std::string::npos);
    CHECK(site.shown() == Disposition::clear);
    site.give(1, {{"colour", 49.0}}, "d");
    CHECK(site.shown() == Disposition::hold);
    site.give(1, {{"colour", std::nullopt}, {"roasted_kg", std::nullopt}}, "e");
    CHECK_FALSE(site.shown());
    row = site.row(1);
    CHECK(row["verdict"]["disposition"] == "clear");
    CHECK(row["facts"]["charge_kg"] == 11.93);
    CHECK(row["facts"]["colour"].is_null());
}

TEST_CASE("facts: what can't be said of a roast is refused with what is true, and nothing is kept") {
    Site site;
    CHECK(site.give(77, {{"colour", 57.0}}).status == 404);
    const CommandAnswer early = site.give(2, {{"roasted_kg", 10.0}});
    CHECK(early.status == 409);
    CHECK(early.text == "roast 2 is still in the drum: weigh it after the drop");
    CHECK(site.give(3, {{"roasted_kg", 10.0}}).status == 409);
    const CommandAnswer heavy = site.give(1, {{"roasted_kg", 102.6}});
    CHECK(heavy.status == 422);
    CHECK(heavy.text == "Weight loss is not known: 102.6 kg can't come out of 12 kg; weigh again.");
    CHECK(site.row(1)["facts"]["roasted_kg"].is_null());
    CHECK_FALSE(site.shown());
}
