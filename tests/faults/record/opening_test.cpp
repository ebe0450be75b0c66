// Databases as a bad card gives them back: cut, flipped, without their logs. Opening never crashes or hangs:
// either it is whole, or it was set aside with a sentence and a new one begun, or (where a byte says that
// another program or a newer build wrote it) it is refused. Offsets: sqlite.org/fileformat.html,
// sections 1.3 (header), 4.1 (log).
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>
#include <string>

#include "record/open_record.hpp"
#include "record/reader.hpp"
#include "record/row_writer.hpp"
#include "record_batches.hpp"
#include "support/fault_vfs.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

#ifdef DRUMWATCH_SANITIZED
constexpr std::size_t kCoarse = 211;
#else
constexpr std::size_t kCoarse = 13;
#endif

enum class Ending { whole, set_aside, refused };

/// A recording as the power left it: a database of many pages with a log beside it.
class Damaged {
  public:
    Damaged() : path_(folder_.file("record.db")) {
        std::int64_t cut = 150;
        do {
            REQUIRE(cut < 300);
            disk_.power_returns({});
            disk_.cut_power_at(cut++);
            (void)write_all(path_, 1);
            whole_ = disk_.files().left_over(0);
        } while (log().size() < 20'000 || database().size() < 40'000 || log_holds_all());
        MESSAGE("the power went at operation ", cut - 1);
    }

    const std::string& database() { return whole_[path_]; }
    const std::string& log() { return whole_[path_ + "-wal"]; }

    /// Opens it with these bytes in place of the database's or the log's.
    Ending with_database(const std::string& bytes) { return open({{path_, bytes}, {path_ + "-wal", log()}}); }
    Ending with_log(const std::string& bytes) { return open({{path_, database()}, {path_ + "-wal", bytes}}); }
    Ending without_log(const std::string& bytes) { return open({{path_, bytes}}); }

  private:
    /// Just after it was copied into the database, and before it starts over.
    bool log_holds_all() {
        return with_database(database().substr(0, database().size() / 2)) == Ending::whole;
    }

    Ending open(const DiskImage& image) {
        clear();
        disk_.power_returns(image);
        std::ofstream(path_ + ".lock").flush();
        auto opened = open_record(path_);
        if (!opened) {
            CHECK(opened.error().find(path_) != std::string::npos);
            CHECK(fs::exists(path_));
            CHECK(!aside_there());
            return Ending::refused;
        }
        Database& database = opened.value().database;
        CHECK(database.text("PRAGMA quick_check").value() == "ok");
        CHECK(RowWriter::prepare(database).ok());
        const auto& sentences = opened.value().found.sentences;
        const bool aside = std::any_of(sentences.begin(), sentences.end(), [](const std::string& one) {
            return one.find("is damaged: it was set aside as") != std::string::npos;
        });
        CHECK(aside == aside_there());
        read_all();
        return aside ? Ending::set_aside : Ending::whole;
    }

    /// What a page would ask for: rows or a sentence, whatever the bytes.
    void read_all() {
        const auto reader = RecordReader::open(path_);
        REQUIRE_MESSAGE(reader.ok(), reader.error());
        (void)reader.value()->frames(1, Tick{0}, Tick{100'000});
        (void)reader.value()->commands(1);
        (void)reader.value()->events(1, Tick{0}, Tick{100'000});
    }

    bool aside_there() const {
        return std::any_of(fs::directory_iterator(folder_.path()), fs::directory_iterator(),
                           [](const auto& entry) {
                               return entry.path().filename().string().find(".damaged-") != std::string::npos;
                           });
    }
    void clear() const {
        for (const auto& entry : fs::directory_iterator(folder_.path())) fs::remove(entry.path());
    }

    TempDir folder_;
    std::string path_;
    FaultVfs disk_;
    DiskImage whole_;
};

std::string flipped(std::string bytes, std::size_t at, int with) {
    bytes[at] = static_cast<char>(static_cast<unsigned char>(bytes[at]) ^ with);
    return bytes;
}

std::set<std::size_t> around(std::size_t size, std::size_t first, std::size_t step) {
    std::set<std::size_t> places;
    for (std::size_t at = first; at <= size; at += step) {
        for (const std::size_t one : {at - 1, at, at + 1}) {
            if (one <= size) places.insert(one);
        }
    }
    return places;
}

struct Tally {
    int whole = 0;
    int set_aside = 0;
    int refused = 0;
    void count(Ending ending) {
        ++(ending == Ending::whole ? whole : ending == Ending::refused ? refused : set_aside);
    }
};

void say(const std::string& what, const Tally& tally) {
    MESSAGE(what, ": whole ", tally.whole, ", set aside ", tally.set_aside, ", refused ", tally.refused);
}

}  // namespace

TEST_CASE("a database cut anywhere opens whole or is set aside") {
    Damaged record;
    const std::string& bytes = record.database();
    std::set<std::size_t> places = around(bytes.size(), 4096, 4096);
    for (std::size_t at = 0; at < 8192; at += at < 128 ? 1 : kCoarse) places.insert(at);
    Tally with;
    Tally without;
    for (const std::size_t at : places) {
        CAPTURE(at);
        with.count(record.with_database(bytes.substr(0, at)));
        without.count(record.without_log(bytes.substr(0, at)));
    }
    say("with its log", with);
    say("without", without);
    CHECK(with.refused + without.refused == 0);
    CHECK(with.set_aside > 0);
    CHECK(with.whole > 0);
}

TEST_CASE("a database with any byte of its header flipped opens whole, is set aside, or is refused") {
    Damaged record;
    Tally tally;
    for (std::size_t at = 0; at < 100; ++at) {
        for (const int with : {0x01, 0x80, 0xff}) {
            CAPTURE(at);
            CAPTURE(with);
            const Ending ending = record.without_log(flipped(record.database(), at, with));
            tally.count(ending);
            // File format, schema format, version, application: another program's or a newer build's.
            const bool tells =
                at == 18 || at == 19 || at == 47 || (at >= 60 && at < 64) || (at >= 68 && at < 72);
            CHECK((ending != Ending::refused || tells));
            tally.count(record.with_database(flipped(record.database(), at, with)));
        }
    }
    say("header", tally);
    CHECK(tally.whole > 100);
    CHECK(tally.set_aside > 10);
}

TEST_CASE("a log cut or flipped anywhere costs at most what stood in it") {
    Damaged record;
    const std::string& log = record.log();
    Tally tally;
    for (const std::size_t at : around(log.size(), 32, 4096 + 24)) {
        CAPTURE(at);
        tally.count(record.with_log(log.substr(0, at)));
    }
    for (std::size_t frame = 32; frame < log.size(); frame += 4096 + 24) {
        for (std::size_t at = frame == 32 ? 0 : frame; at < frame + 24; ++at) {
            CAPTURE(at);
            tally.count(record.with_log(flipped(log, at, 0x10)));
        }
    }
    tally.count(record.with_log(""));
    tally.count(record.without_log(record.database()));
    say("log", tally);
    // Its sums cover every byte, so that a log is valid up to some commit: an older state, but a whole one.
    CHECK(tally.refused == 0);
    CHECK(tally.set_aside == 0);
}

}  // namespace drumwatch
