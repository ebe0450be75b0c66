// When commands are run: real processes in stepped time.
#include <doctest/doctest.h>

#include <algorithm>

#include "sounders/sounder_player.hpp"
#include "unit/drivers/eventually.hpp"
#include "unit/sounders/processes.hpp"

using namespace drumwatch;

namespace {

struct CommandSite {
    TempDir folder;
    std::string log = folder.file("log");
    std::unique_ptr<SounderPlayer> player;
    std::int64_t now_ms = 0;

    /// Each run writes its priority down first.
    explicit CommandSite(const std::string& then) {
        SounderOutput output;
        output.kind = SounderKind::command;
        output.command = {script(folder, "echo \"$1\" >> " + log + "\n" + then + "\n"), "{priority}"};
        player = make_command_player(output, 5000);
        player->step(now_ms);
    }
    std::string played() const {
        std::string words = contents(log);
        std::replace(words.begin(), words.end(), '\n', ' ');
        return words;
    }
    void play(SounderSignal signal) {
        player->play(signal, now_ms);
        player->step(now_ms);
    }
    /// Time goes on; what runs then ends.
    void at(std::int64_t ms) {
        now_ms = ms;
        player->step(now_ms);
        REQUIRE(eventually([&] {
            player->step(now_ms);
            return no_children();
        }));
    }
    void begins(const std::string& log_so_far) {
        CAPTURE(played());
        CHECK(eventually([&] {
            player->step(now_ms);
            return played() == log_so_far;
        }));
    }
};

constexpr const char* kForEver = "exec sleep 600";

}  // namespace

TEST_CASE("a command is run at each beginning of a round, as long as its signal lasts") {
    CommandSite site("true");
    site.play(SounderSignal::high);
    site.at(0);
    CHECK(site.played() == "high ");
    site.at(2'999);
    CHECK(site.played() == "high ");
    site.at(3'000);
    site.at(6'010);
    CHECK(site.played() == "high high high ");
    site.at(9'000);  // no drift
    CHECK(site.played() == "high high high high ");
    site.play(SounderSignal::medium);
    site.at(9'000);
    site.at(18'999);
    CHECK(site.played() == "high high high high medium ");
    site.at(19'000);
    CHECK(site.played() == "high high high high medium medium ");
    site.play(SounderSignal::off);
    site.at(100'000);
    CHECK(site.played() == "high high high high medium medium ");
    CHECK_FALSE(site.player->playing(site.now_ms));
}

TEST_CASE("low and the chirp of a test are run once, a dead box as high, a prompt not at all") {
    CommandSite site("true");
    site.play(SounderSignal::low);
    site.at(0);
    site.at(50'000);
    CHECK(site.played() == "low ");
    site.play(SounderSignal::prompt);
    site.at(60'000);
    site.play(SounderSignal::chirp);
    site.at(60'000);
    site.at(70'000);
    CHECK(site.played() == "low low ");
    site.play(SounderSignal::box_dead);
    site.at(70'000);
    site.at(75'000);
    CHECK(site.played() == "low low high high ");
}

TEST_CASE("rounds during which a command still plays are left out, and never two play") {
    CommandSite site(kForEver);
    site.play(SounderSignal::high);
    site.begins("high ");
    for (site.now_ms = 0; site.now_ms < 9'900; site.now_ms += 100) site.player->step(site.now_ms);
    CHECK(site.played() == "high ");
    site.at(10'000);  // its limit
    CHECK(site.player->failure().find("took longer than its limit of 10 s") != std::string::npos);
    CHECK(site.played() == "high ");
    site.now_ms = 12'000;
    site.player->step(site.now_ms);
    site.begins("high high ");
}

TEST_CASE("a more urgent signal ends what plays, a less urgent one waits for its end, none ends it") {
    CommandSite site(kForEver);
    site.play(SounderSignal::low);
    site.begins("low ");
    site.play(SounderSignal::high);
    site.begins("low high ");
    site.play(SounderSignal::medium);
    site.now_ms = 9'000;
    site.player->step(site.now_ms);
    CHECK(site.played() == "low high ");
    CHECK(site.player->failure().empty());  // called off is no failure
    site.now_ms = 10'000;
    site.player->step(site.now_ms);
    site.begins("low high medium ");
    site.play(SounderSignal::off);
    site.at(10'000);
    site.at(60'000);
    CHECK(site.played() == "low high medium ");
}

TEST_CASE("a command that fails is known to, until it goes well") {
    CommandSite site("echo no device >&2; test -e " + std::string("$0.works"));
    CHECK(site.player->failure().empty());
    site.play(SounderSignal::high);
    site.at(0);
    CHECK(site.player->failure().find("failed with status 1: no device") != std::string::npos);
    std::ofstream(site.folder.file("play.works")).close();
    site.at(3'000);
    CHECK(site.player->failure().empty());
}

TEST_CASE("a program that is not there is known before an alarm needs it, and so is its return") {
    TempDir folder;
    SounderOutput output;
    output.kind = SounderKind::command;
    output.command = {folder.file("play")};
    const auto player = make_command_player(output, 5'000);
    const Due due = player->step(0);
    CHECK(player->failure().find("there is no program") == 0);
    REQUIRE(due);
    CHECK(*due == 5'000);
    script(folder, "true\n");
    player->step(4'999);
    CHECK_FALSE(player->failure().empty());
    CHECK_FALSE(player->step(5'000));
    CHECK(player->failure().empty());
    // It vanishes again, and an alarm comes.
    std::filesystem::remove(folder.file("play"));
    player->play(SounderSignal::high, 6'000);
    player->step(6'000);
    CHECK_FALSE(player->failure().empty());
    script(folder, "true\n");
    player->step(9'000);
    CHECK(eventually([&] {
        player->step(9'000);
        return player->failure().empty();
    }));
}
