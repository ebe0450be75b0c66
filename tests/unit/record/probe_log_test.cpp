// What was found of probes and done to them, in the record.
#include <doctest/doctest.h>

#include <future>

#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"
#include "support/temp_dir.hpp"
#include "unit/record/stored.hpp"

using namespace drumwatch;

TEST_CASE("a record of schema version 4 keeps what was done of reminders, and a probe log begins in it") {
    const TempDir folder;
    const std::string path = folder.file("r.sqlite");
    unpack_stored("version-4.sqlite.gz", path);
    {
        const auto old = RecordReader::open(path);
        REQUIRE_MESSAGE(old.ok(), old.error());
        CHECK(old.value()->probe_log().value().empty());
        REQUIRE(old.value()->newest_care().value().size() == 1);
        CHECK(old.value()->newest_care().value()[0].after_roast == 4);
    }
    const auto append = [&](Recorder& recorder, ProbeRow row) {
        std::promise<bool> done;
        recorder.append(std::move(row), [&](bool committed) { done.set_value(committed); });
        REQUIRE(done.get_future().get());
    };
    {
        auto opened = Recorder::open({.path = path});
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        Recorder& recorder = *opened.value();
        const ProbeRow check{
            "bean", ProbeAct::checked,  "boiling_point", 99'100, 99'570, "", "", "kettle", "Ada",
            "a",    {1'700'000'000'000}};
        append(recorder, check);
        append(recorder, check);  // sent again
        append(recorder, ProbeRow{"bean",
                                  ProbeAct::calibrated,
                                  "",
                                  {},
                                  {},
                                  "",
                                  "99100=99570",
                                  "",
                                  "Ada",
                                  "a",
                                  {1'700'000'000'001}});
        append(recorder,
               ProbeRow{"bean", ProbeAct::wiped, "", {}, {}, "", "", "", "Ben", "b", {1'700'000'000'002}});
    }
    const auto back = RecordReader::open(path).value()->probe_log();
    REQUIRE_MESSAGE(back.ok(), back.error());
    const auto& log = back.value();
    REQUIRE(log.size() == 3);
    CHECK(log[0].method == "boiling_point");
    CHECK(log[0].reads_milli == 99'100);
    CHECK(log[0].is_milli == 99'570);
    CHECK(log[0].note == "kettle");
    CHECK(log[1].act == ProbeAct::calibrated);
    CHECK_FALSE(log[1].reads_milli);
    CHECK(log[1].after == "99100=99570");
    CHECK(begins_epoch(log[2].act));
    CHECK(log[2].who == "Ben");
    CHECK(log[2].at.unix_ms == 1'700'000'000'002);
    CHECK(verify_record(path).value().damage.empty());
}
