#include "service/targets.hpp"

#include <doctest/doctest.h>

#include "support/targets.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

TEST_CASE("what today taught belongs to every target of that coffee, and to no other") {
    Target same = straight_target();
    same.name = "Straight, lighter";
    Target other = straight_target();
    other.name = "Other";
    other.coffee = "Another";
    std::vector<OfferedTarget> targets{{share(straight_target()), {}}, {share(same), {}}, {share(other), {}}};
    Lessons lessons;
    lessons.roasts = 3;
    lessons.crack_c = 198;
    remember(targets, straight_target(), lessons);
    CHECK(targets[0].lessons.roasts == 3);
    CHECK(targets[1].lessons.crack_c == 198);
    CHECK(targets[2].lessons.roasts == 0);
    CHECK(find_target(targets, "Other") == &targets[2]);
    CHECK(find_target(targets, "other") == nullptr);
}

namespace {

/// What the record has after the daemon has stored this.
void store(const std::string& path, const std::vector<OfferedTarget>& targets) {
    auto recorder = Recorder::open({path});
    REQUIRE_MESSAGE(recorder.ok(), recorder.error());
    store_targets(*recorder.value(), targets, WallTime{1});
}

std::vector<std::string> settle(const std::string& path, std::vector<OfferedTarget>& targets) {
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader.ok(), reader.error());
    return settle_versions(*reader.value(), targets);
}

std::vector<OfferedTarget> offered(Target target) { return {{share(std::move(target)), {}}}; }

}  // namespace

TEST_CASE("a target changed under a used version number becomes the next version, on trial") {
    const TempDir folder;
    const std::string path = folder.file("record.sqlite");
    store(path, offered(straight_target()));
    auto same = offered(straight_target());
    CHECK(settle(path, same).empty());
    CHECK(same[0].target->version == 1);

    Target hotter = straight_target();
    hotter.points.back().bean_c = 203;
    auto changed = offered(hotter);
    const auto said = settle(path, changed);
    REQUIRE(said.size() == 1);
    CHECK(said[0] ==
          "target Straight version 1 is in the record with other contents, and a version never changes: what "
          "its file "
          "says now is version 2, on trial until it is approved anew");
    CHECK(changed[0].target->version == 2);
    CHECK(changed[0].target->status == TargetStatus::trial);
    CHECK(changed[0].target->approved_by.empty());
    CHECK(changed[0].target->points.back().bean_c == 203);

    store(path, changed);
    auto again = offered(hotter);  // the next start reads the same file
    CHECK(settle(path, again)[0].find("is version 2 of the record") != std::string::npos);
    CHECK(again[0].target->version == 2);
    hotter.version = 7;  // a number of its own is taken as it is
    auto own = offered(hotter);
    CHECK(settle(path, own).empty());
    CHECK(own[0].target->status == TargetStatus::approved);
}

TEST_CASE("other limits are another version too, and stay approved: the curve was tasted, not the limits") {
    const TempDir folder;
    const std::string path = folder.file("record.sqlite");
    store(path, offered(straight_target()));
    Target wider = straight_target();
    wider.tolerance.bean_c = 1.5;
    auto changed = offered(wider);
    CHECK(settle(path, changed).size() == 1);
    CHECK(changed[0].target->version == 2);
    CHECK(changed[0].target->status == TargetStatus::approved);
    CHECK(changed[0].target->approved_by == "the tasting table");
}

TEST_CASE("a retired target is not loaded at start") {
    Target retired = straight_target();
    retired.status = TargetStatus::retired;
    const auto targets = offered(retired);
    CHECK(find_target(targets, "Straight") != nullptr);
    CHECK(start_target(targets, "Straight") == nullptr);
    CHECK(start_target(offered(straight_target()), "Other") == nullptr);
    const auto good = offered(straight_target());
    CHECK(start_target(good, "Straight") == &good[0]);
}
