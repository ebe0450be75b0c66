// The record's lock and stops, and the page's port, with a real record and real sockets.
#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

#include "doctor/doctor.hpp"
#include "record/recorder.hpp"
#include "support/raw_server.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"
#include "web/listening_port.hpp"

using namespace drumwatch;

namespace {

RecordConfig record_in(const TempDir& folder) {
    RecordConfig record;
    record.path = folder.file("record.sqlite");
    return record;
}

std::unique_ptr<Recorder> open(const RecordConfig& record) {
    RecorderSettings settings;
    settings.path = record.path;
    auto recorder = Recorder::open(settings);
    REQUIRE_MESSAGE(recorder, recorder.error());
    return std::move(recorder.value());
}

}  // namespace

TEST_CASE("who holds the record is told, and the lock is left as it was") {
    TempDir folder;
    const RecordConfig record = record_in(folder);
    CHECK(!record_holder(record.path, {}));
    CHECK(look_at_record(record, std::nullopt)[0].state == FindingState::look);
    {
        const auto recorder = open(record);
        const auto holder = record_holder(record.path, {});
        REQUIRE(holder);
        CHECK(*holder == std::to_string(::getpid()));
        CHECK(look_at_record(record, holder)[0].text.find("held by process") != std::string::npos);
    }
    CHECK(!record_holder(record.path, {}));
}

TEST_CASE("a record that the daemon's user may not write is broken, whatever root may") {
    if (::geteuid() != 0) {
        MESSAGE("needs root to give files away");
        return;
    }
    constexpr const char* kUser = "nobody";  // base-passwd: uid 65534
    constexpr uid_t kId = 65534;
    TempDir folder;
    const RecordConfig record = record_in(folder);
    REQUIRE(::chmod(folder.path().c_str(), 0755) == 0);
    const auto roots = look_at_writer(record.path, kUser);
    REQUIRE(roots);
    CHECK(roots->state == FindingState::broken);
    CHECK(roots->text.find("may not write in " + folder.path()) != std::string::npos);
    CHECK_FALSE(look_at_writer(record.path, "no-such-user-here"));

    { const auto recorder = open(record); }
    REQUIRE(::chown(folder.path().c_str(), kId, kId) == 0);
    REQUIRE(::chown((record.path + ".lock").c_str(), kId, kId) == 0);
    const auto file = look_at_writer(record.path, kUser);
    REQUIRE(file);
    CHECK(file->state == FindingState::broken);
    CHECK(file->text.starts_with(record.path + " belongs to root"));
    REQUIRE(::chown(record.path.c_str(), kId, kId) == 0);
    CHECK_FALSE(look_at_writer(record.path, kUser));
    REQUIRE(::chown((record.path + ".lock").c_str(), 0, 0) == 0);
    CHECK(look_at_writer(record.path, kUser));
}

TEST_CASE("unclean stops among the newest watches are counted") {
    TempDir folder;
    const RecordConfig record = record_in(folder);
    {
        const auto recorder = open(record);
        recorder->begin_watch(sample_watch(1));
    }
    auto findings = look_at_record(record, std::nullopt);
    REQUIRE(findings.size() == 2);
    CHECK(findings[1].state == FindingState::well);
    // As a power cut leaves it: a copy of the files while the watch is open.
    TempDir after;
    {
        const auto recorder = open(record);
        recorder->begin_watch(sample_watch(2));
        bool written = false;
        for (int i = 0; i < 200 && !written; ++i) {
            ::usleep(50'000);  // between looks; ends by what it finds
            written = recorder->status().commits > 0;
        }
        REQUIRE(written);
        std::filesystem::copy(folder.path(), after.path());
    }
    const RecordConfig cut = record_in(after);
    { const auto recorder = open(cut); }
    findings = look_at_record(cut, std::nullopt);
    REQUIRE(findings.size() == 2);
    CHECK(findings[1].state == FindingState::look);
    CHECK(findings[1].text.find("1 of the last") == 0);
}

TEST_CASE("a record that is no database is broken") {
    TempDir folder;
    const RecordConfig record = record_in(folder);
    { const auto recorder = open(record); }
    std::filesystem::resize_file(record.path, 10);
    std::filesystem::remove(record.path + "-wal");
    CHECK(look_at_record(record, std::nullopt)[0].state == FindingState::broken);
}

TEST_CASE("a record that the system can't even look at is broken, and no exception") {
    RecordConfig record;
    record.path = "/tmp/" + std::string(300, 'x');  // longer than a name may be (limits.h, NAME_MAX)
    CHECK(look_at_record(record, std::nullopt)[0].state == FindingState::broken);
    record.path += "/record.sqlite";
    CHECK(worst(look_at_disk(record)) == FindingState::broken);
}

TEST_CASE("a free port is free, a taken one is named, and a loopback page is no page for tablets") {
    WebConfig web;
    {
        auto taken = ListeningPort::open("127.0.0.1", 0);
        REQUIRE(taken);
        web.port = taken.value().port();
        CHECK(look_at_page(web, false).state == FindingState::broken);
    }
    const Finding free = look_at_page(web, false);
    CHECK(free.state == FindingState::look);
    CHECK(free.text.find("only this box itself") != std::string::npos);
    web.host = "192.0.2.1";  // RFC 5737: an address that no box has
    CHECK(look_at_page(web, false).state == FindingState::broken);
}

TEST_CASE("a daemon that holds the record and doesn't answer on its page is broken") {
    WebConfig web;
    auto silent = ListeningPort::open("127.0.0.1", 0);  // listens, and nobody answers
    REQUIRE(silent);
    web.port = silent.value().port();
    CHECK(look_at_page(web, true).state == FindingState::broken);
}
