// The power goes at every operation on the disk while a roast is recorded, and once more while the roast that
// was gone on with is: what survived is fed to the engine as a start does, and its journal is what was said
// live, up to where it was cut. The record alone: tests/faults/record/.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "record/batch_writer.hpp"
#include "record/open_record.hpp"
#include "record/reader.hpp"
#include "service/recorded_watch.hpp"
#include "service/resume.hpp"
#include "support/fault_vfs.hpp"
#include "support/restless_day.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr std::int64_t kEach = 7;
#else
constexpr std::int64_t kEach = 1;
#endif

constexpr WallTime kBegan{1'780'000'000'000};
constexpr std::int64_t kGroup_ms = 60'000;
constexpr std::int64_t kGap_ms = 6'000;

/// What was said to be recorded, and what had been said by then.
struct Acknowledged {
    Tick last{-1};
    std::size_t commands = 0;
    std::size_t lines = 0;
};

/// A roast with restless hands, and a minute after it.
RecordedWatch recorded_roast(std::uint64_t seed) {
    Live live(seed);
    live.roast();
    live.rest(60);
    return live.watches.at(0).inputs;
}

WatchRow row_of(const Begin& begin) {
    return {begin.watch,       begin.settings.tick_ms, kBegan, begin.build, begin.config_hash,
            begin_text(begin), begin.settings.channels};
}

/// The live process: feeds the engine, and hands groups of what it fed to the recorder's writer.
class Process {
  public:
    Process(const RecordedWatch& day, Engine engine, std::vector<std::string> journal)
        : day_(day), engine_(std::move(engine)), journal_(std::move(journal)) {}

    void begin_with(Row row) { group_.rows.push_back(std::move(row)); }
    void tell(const Observation& seen) {
        engine_.observe(seen);
        group_.rows.push_back(ObservationRow{day_.begin.watch, seen.tick.ms, std::string(name(seen.health)),
                                             seen.index, seen.bad});
    }

    /// From this tick to the end of the day, or until the disk says no.
    void run(const std::string& path, Tick from) {
        auto opened = open_record(path);
        if (!opened) return;
        auto writer = BatchWriter::make(std::move(opened.value()), {path});
        if (!writer) return;
        const auto skip = [from](const auto& all) {
            return std::find_if(all.begin(), all.end(), [from](const auto& one) { return one.tick >= from; });
        };
        auto command = skip(day_.commands);
        auto observation = skip(day_.observations);
        for (const Frame& frame : day_.frames) {
            if (frame.tick < from) continue;
            for (; command != day_.commands.end() && command->tick <= frame.tick; ++command) tell(*command);
            for (; observation != day_.observations.end() && observation->tick <= frame.tick; ++observation)
                tell(*observation);
            step(frame);
            if (&frame != &day_.frames.back() && group_.frames.size() * 250 < kGroup_ms) continue;
            if (!commit(*writer.value())) return;
        }
    }

    const Acknowledged& acknowledged() const { return acknowledged_; }
    void already(const Acknowledged& what) { acknowledged_ = what; }
    const std::vector<std::string>& journal() const { return journal_; }

  private:
    void tell(const Command& command) {
        const Refusal refusal = engine_.apply(command);
        ++commands_;
        group_.rows.push_back(CommandRow{day_.begin.watch,
                                         command.tick.ms,
                                         std::string(name(command.kind)),
                                         command_text(command, refusal),
                                         "a tablet",
                                         std::to_string(command.tick.ms) + "-" + std::to_string(commands_),
                                         {}});
    }
    void step(const Frame& frame) {
        engine_.step(frame);
        for (const Event& event : engine_.take_events())
            journal_.push_back(journal_line(journal_entry(event)));
        group_.frames.push_back({day_.begin.watch, frame});
    }
    bool commit(BatchWriter& writer) {
        const Outcome outcome = writer.commit(group_);
        if (!outcome.written) return false;
        CHECK_MESSAGE(outcome.refused_rows.empty(), outcome.notice);
        acknowledged_ = {group_.frames.back().frame.tick, acknowledged_.commands + commands_,
                         journal_.size()};
        commands_ = 0;
        group_ = {};
        std::string notice;
        (void)writer.upkeep(true, notice);
        return true;
    }

    const RecordedWatch& day_;
    Engine engine_;
    std::vector<std::string> journal_;
    CommitGroup group_;
    std::size_t commands_ = 0;
    Acknowledged acknowledged_;
};

/// What a start finds: nothing where no frame was left.
struct Stood {
    RecordedWatch watch;
    std::vector<std::string> journal;
    std::unique_ptr<RecordReader> reader;
};

Stood look_again(const std::string& path, const Process& before) {
    { REQUIRE(open_record(path).ok()); }
    Stood stood;
    stood.reader = std::move(RecordReader::open(path).value());
    const Acknowledged& sure = before.acknowledged();
    auto read = read_watch(*stood.reader, 1);
    REQUIRE_MESSAGE((read.ok() || sure.last.ms < 0), read.error());
    if (!read) return stood;
    stood.watch = std::move(read.value());
    if (stood.watch.frames.empty()) {
        CHECK(sure.last.ms < 0);
        return stood;
    }
    CHECK(stood.watch.frames.back().tick >= sure.last);
    CHECK(stood.watch.commands.size() >= sure.commands);
    stood.journal = journal_of(stood.watch);
    CHECK(stood.journal.size() >= sure.lines);
    REQUIRE(stood.journal.size() <= before.journal().size());
    CHECK(std::equal(stood.journal.begin(), stood.journal.end(), before.journal().begin()));
    return stood;
}

/// The next process: where a batch was under way it is gone on with, as resume() says.
Process go_on(const RecordedWatch& day, Stood& stood, Tick& next, int& resumed) {
    const Tick last = stood.watch.frames.back().tick;
    Engine again = refeed(stood.watch, [](const Snapshot&, const std::vector<Event>&) {});
    const bool under_way = again.snapshot().roast || again.snapshot().cooling;
    ResumeChoice choice =
        resume(*stood.reader, {}, 1, {{kBegan.unix_ms + last.ms + kGap_ms}, true, "another boot", 1'000});
    CHECK_MESSAGE(choice.resumed.has_value() == under_way, choice.why_not);
    next = choice.resumed ? choice.resumed->next : last + kGap_ms;
    const bool known = !choice.resumed || choice.resumed->gap_known;
    if (choice.resumed) ++resumed;
    Process process(day, choice.resumed ? std::move(choice.resumed->engine) : std::move(again),
                    stood.journal);
    process.already({last, stood.watch.commands.size(), stood.journal.size()});
    process.begin_with(WatchReopened{1});
    if (!known) process.tell(Observation{next, Health::gap_unknown, 0, true});
    return process;
}

}  // namespace

TEST_CASE(
    "the power goes at every operation of a recorded roast, and again after the recovery: each journal is "
    "right") {
    int cuts = 0;
    int resumed = 0;
    std::set<std::size_t> lines;
    for (const std::uint64_t seed : {7u, 8u}) {
        const TempDir folder;
        const std::string path = folder.file("record.db");
        const RecordedWatch day = recorded_roast(seed);
        FaultVfs disk;
        TestRandom random(seed);
        std::int64_t at = 1;
        for (bool off = true; off; at += kEach, ++cuts) {
            CAPTURE(seed);
            CAPTURE(at);
            disk.power_returns({});
            disk.cut_power_at(at);
            Process first(day, Engine(day.begin), {});
            first.begin_with(row_of(day.begin));
            first.run(path, Tick{0});
            off = disk.power_is_off();
            disk.power_returns(disk.files().left_over(random.bits() % 2 == 0 ? 0 : random.bits()));
            Stood stood = look_again(path, first);
            lines.insert(stood.journal.size());
            if (stood.watch.frames.empty()) continue;
            Tick next;
            Process second = go_on(day, stood, next, resumed);
            stood.reader.reset();
            disk.cut_power_at(1 + static_cast<std::int64_t>(random.bits() % 60));
            second.run(path, next);
            disk.power_returns(disk.files().left_over(random.bits()));
            (void)look_again(path, second);
        }
    }
    MESSAGE("seeds 7 and 8: ", cuts, " cuts, ", resumed, " roasts gone on with, ", lines.size(),
            " lengths of journal");
    CHECK(cuts * kEach > 400);
    CHECK(resumed * kEach > 200);
    CHECK(lines.size() > 10);
}

}  // namespace drumwatch
