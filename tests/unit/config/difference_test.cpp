#include "config/difference.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

std::string one(const Config& before, const Config& after) {
    const auto found = differences(before, after);
    REQUIRE(found.size() == 1);
    return sentence(found[0]);
}

}  // namespace

TEST_CASE("each part of a configuration that differs is named, with when it is taken over") {
    const Config before;
    CHECK(differences(before, before).empty());
    Config after = before;
    after.hash = "another: only a comment was changed";
    CHECK(differences(before, after).empty());
    after.alarms[AlarmRule::drift].limit = 3;
    CHECK(one(before, after).find("/alarms/drift: will be taken over with the next watch") == 0);
    after = before;
    after.advice[static_cast<std::size_t>(AlarmRule::drift)].owner = "floor lead";
    CHECK(one(before, after) == "/alarms/drift/advice: waits for a restart of the daemon");
    after = before;
    after.targets = {"conf/targets/fen-meadow.json"};
    CHECK(one(before, after).find("/targets: taken over") == 0);
    after = before;
    after.verdict.bean_c = 1.5;
    CHECK(one(before, after).find("/verdict: taken over") == 0);
    after = before;
    after.channels.push_back(Channel{});
    CHECK(one(before, after) == "/channels: waits for a restart of the daemon");
    after = before;
    after.buses.push_back(BusConfig{});
    CHECK(one(before, after) == "/buses: waits for a restart of the daemon");
    after = before;
    after.sounders.push_back(SounderConfig{});
    after.buttons.push_back(ButtonConfig{});
    after.sounder_test_at.reset();
    after.chirp_at_start = false;
    after.chime_prompts = true;
    CHECK(differences(before, after).size() == 5);
    after = before;
    after.web.port = 1;
    CHECK(one(before, after) == "/web: waits for a restart of the daemon");
    after = before;
    after.limiter.setting_c = 1;
    after.site_card = "Call the fire service.";
    CHECK(differences(before, after).size() == 2);
}
