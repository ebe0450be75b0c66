#include "service/targets.hpp"

#include <doctest/doctest.h>

#include "support/targets.hpp"

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
