// What outputs do in stepped time, over a recording of the kernel's protocol (support/made_gpio_chip.hpp),
// not hardware. The expected edges are reckoned by hand from the lengths in alarms/pulse_train.hpp.
#include <doctest/doctest.h>

#include <cerrno>

#include "support/random.hpp"
#include "unit/sounders/stepped_desk.hpp"

using namespace drumwatch;

TEST_CASE("a line follows the train of each signal to the millisecond when it is called in time") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    at.run(1000);
    at.tell(SounderSignal::high);
    at.run(3200);
    CHECK(at.edges(3) == Times{1000, 1150, 1250, 1400, 1500, 1650, 1900, 2050, 2150, 2300, 4000, 4150});
    at.tell(SounderSignal::off);
    at.run(10'000);
    CHECK(at.edges(3).size() == 12);
    at.tell(SounderSignal::medium);
    at.run(10'100);
    const Times all = at.edges(3);
    CHECK(Times(all.begin() + 12, all.end()) ==
          Times{14'200, 14'400, 14'600, 14'800, 15'000, 15'200, 24'200});
}

TEST_CASE("each pulse is within 20 ms of its train when calls come up to 15 ms late") {
    SteppedDesk at;
    at.add_line(3);
    at.settings.outputs.back().voice = 3;
    at.start();
    const std::uint64_t seed = 20;
    CAPTURE(seed);
    TestRandom random(seed);
    at.tell(SounderSignal::high);
    at.run(600'000, [&] { return static_cast<std::int64_t>(random.below(16)); });
    const PulseTrain train = pulse_train(SounderSignal::high, 3);
    const Times times = at.edges(3);
    REQUIRE(times.size() > 1990);
    std::int64_t planned = 0;
    for (const std::int64_t time : times) {
        CHECK(time >= planned);
        CHECK(time <= planned + 20);
        planned = *next_edge(train, planned);
    }
}

TEST_CASE("whatever is ordered, nothing is on for a second, and pulses never grow together") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        CAPTURE(seed);
        TestRandom random(seed);
        SteppedDesk at;
        at.add_line(3).on_silence = OnSilence::box_dead;
        at.start();
        for (int i = 0; i < 500; ++i) {
            if (random.below(3) == 0) ++at.order.prompts;
            at.telling = random.below(10) != 0;
            at.tell(static_cast<SounderSignal>(random.below(5)), static_cast<std::uint32_t>(random.below(3)));
            const auto how_long = static_cast<std::int64_t>(random.below(random.below(4) == 0 ? 6000 : 200));
            at.run(how_long, [&] { return static_cast<std::int64_t>(random.below(16)); });
        }
        const Times times = at.edges(3);
        REQUIRE(times.size() > 300);
        for (std::size_t i = 0; i + 1 < times.size(); ++i) {
            CHECK(times[i + 1] - times[i] <= (i % 2 == 0 ? 700 : 60'000));
            if (i % 2 == 1) CHECK(times[i + 1] - times[i] >= kRest_ms - 16);
        }
    }
}

TEST_CASE("a more urgent signal cuts a pulse off and begins after a rest") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    at.tell(SounderSignal::medium);
    at.run(450);  // within the second pulse
    at.tell(SounderSignal::high);
    at.run(300);
    CHECK(at.edges(3) == Times{0, 200, 400, 450, 550, 700});
}

TEST_CASE("low plays once, and once more for a new onset after it has ended") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    at.tell(SounderSignal::low, 1);
    at.run(300);
    at.tell(SounderSignal::low, 2);
    at.run(60'000);
    const Times times = at.edges(3);
    REQUIRE(times.size() == 8);
    CHECK(Times(times.begin(), times.begin() + 4) == Times{0, 200, 400, 600});
    CHECK(times[4] >= 700);
    CHECK(times[4] <= 1500);
    CHECK(times[7] - times[4] == 600);
}

TEST_CASE("a new onset does not break a repeating signal off") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    for (std::uint32_t onset = 0; onset < 20; ++onset) {
        at.tell(SounderSignal::high, onset);
        at.run(100);
    }
    CHECK(at.edges(3) == Times{0, 150, 250, 400, 500, 650, 900, 1050, 1150, 1300});
}

TEST_CASE("a prompt is a chime, but not while an alarm sounds") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    ++at.order.prompts;
    at.tell(SounderSignal::off);
    at.run(10'000);
    CHECK(at.edges(3) == Times{0, 400});
    at.tell(SounderSignal::high);
    at.run(1400);
    const std::size_t before = at.edges(3).size();
    ++at.order.prompts;
    at.tell(SounderSignal::high);
    at.run(1500);
    CHECK(at.edges(3).size() == before);
    // After low has played, though its alarm still stands.
    at.tell(SounderSignal::low, 1);
    at.run(5000);
    ++at.order.prompts;
    at.tell(SounderSignal::low, 1);
    at.run(5000);
    const Times times = at.edges(3);
    CHECK(times[times.size() - 1] - times[times.size() - 2] == 400);
}

TEST_CASE(
    "when the core falls silent an output is off, or says that the box is dead, until the core is back") {
    SteppedDesk at;
    at.add_line(3);
    at.add_line(4).on_silence = OnSilence::box_dead;
    at.start();
    at.tell(SounderSignal::high);
    at.telling = false;
    at.run(20'000);
    const Times off = at.edges(3);
    CHECK(off.back() <= 3000 + kRest_ms);
    const Times dead = at.edges(4);
    REQUIRE(dead.size() > off.size() + 4);
    const Times after(dead.begin() + static_cast<std::ptrdiff_t>(off.size()), dead.end());
    CHECK(after[0] >= 3000);
    CHECK(after[1] - after[0] == 600);
    CHECK(after[2] - after[0] == 5000);
    at.telling = true;
    at.run(1000);
    const Times back = at.edges(3);
    REQUIRE(back.size() >= off.size() + 6);
    CHECK(back[off.size()] == 20'000);  // the signal from its beginning
    CHECK(back[off.size() + 1] == 20'150);
}

TEST_CASE("a daemon that has not spoken yet is not dead") {
    SteppedDesk at;
    at.add_line(4).on_silence = OnSilence::box_dead;
    at.telling = false;
    at.start();
    at.run(600'000);
    CHECK(at.edges(4).empty());
    CHECK(at.made.chip.held(4));
}

TEST_CASE("at the desk's end all lines are off and free") {
    SteppedDesk at;
    at.add_line(3);
    at.add_line(4).line.active_low = true;
    at.start();
    at.tell(SounderSignal::high);
    at.run(50);
    CHECK(at.made.chip.level(3));
    CHECK_FALSE(at.made.chip.level(4));
    at.desk.reset();
    CHECK_FALSE(at.made.chip.level(3));
    CHECK(at.made.chip.level(4));
    CHECK_FALSE(at.made.chip.held(3));
    CHECK_FALSE(at.made.chip.held(4));
}

TEST_CASE("a line that fails is said once, tried again, and said to work again, in the midst of its signal") {
    SteppedDesk at;
    at.add_line(3);
    at.add_line(4);
    at.made.chip.hold(3, "tray lamp");
    at.start();
    at.run(1000);
    REQUIRE(at.news.size() == 1);
    CHECK(at.news[0].index == 0);
    CHECK(at.news[0].name == "line 3");
    CHECK_FALSE(at.news[0].works);
    CHECK_FALSE(at.news[0].is_button);
    CHECK(at.news[0].sentence.find("tray lamp") != std::string::npos);
    at.tell(SounderSignal::high);  // tried at once: at 1000
    at.run(2000);
    CHECK(at.edges(4).size() == 10);  // the other goes on meanwhile
    at.made.chip.let_go(3);
    at.run(3000);  // and again 5 s later, at 6000
    CHECK(at.news.size() == 2);
    CHECK(at.news[1].works);
    at.run(2500);
    // The train began at 1000: its third round.
    CHECK(at.edges(3) == Times{7000, 7150, 7250, 7400, 7500, 7650, 7900, 8050, 8150, 8300});
    CHECK(at.edges(4).size() == 30);
}

TEST_CASE("a line that can't be switched off is opened anew a rest later, which sets it off") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    at.tell(SounderSignal::high);
    at.run(100);
    at.made.chip.refuse_switching(EIO);
    at.run(100);
    REQUIRE(at.news.size() == 1);
    CHECK(at.news[0].sentence.find("off: Input/output error") != std::string::npos);
    at.made.chip.refuse_switching(0);
    at.run(100);
    CHECK(at.news.size() == 2);
    CHECK(at.edges(3)[1] <= 250);
}

TEST_CASE("a chip that is unplugged and plugged in again comes back by itself") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    at.made.chip.unplug();
    at.tell(SounderSignal::high);
    at.run(12'000);
    CHECK(at.news.size() == 1);
    at.made.chip.plug_in();
    at.run(6'000);
    REQUIRE(at.news.size() == 2);
    CHECK(at.news[1].works);
    CHECK(at.edges(3).size() >= 4);
}

TEST_CASE("a test chirps each output in turn, and says of each whether the writes succeeded") {
    SteppedDesk at;
    at.add_line(3);
    at.add_line(4);
    at.add_line(5);
    at.made.chip.hold(4, "tray lamp");
    at.start();
    ++at.order.tests;
    at.tell(SounderSignal::off);
    at.run(5'000);
    REQUIRE(at.tests.size() == 3);
    CHECK(at.tests[0].passed);
    CHECK(at.tests[0].name == "line 3");
    CHECK_FALSE(at.tests[1].passed);
    CHECK(at.tests[1].sentence.find("tray lamp") != std::string::npos);
    CHECK(at.tests[2].passed);
    CHECK(at.tests[2].output == 2);
    CHECK(at.edges(3) == Times{0, 100});
    REQUIRE(at.edges(5).size() == 2);
    CHECK(at.edges(5)[0] >= at.edges(3)[1] + 500);
    // A second one; and one whose switching off fails.
    at.made.chip.let_go(4);
    ++at.order.tests;
    at.tell(SounderSignal::off);
    at.run(50);
    at.made.chip.refuse_switching(EIO);
    at.run(51);
    at.made.chip.refuse_switching(0);
    at.run(5'000);
    REQUIRE(at.tests.size() == 6);
    CHECK_FALSE(at.tests[3].passed);
    CHECK(at.tests[4].passed);
    CHECK(at.tests[5].passed);
}

TEST_CASE("a test is refused while a signal plays, and broken off by one that begins") {
    SteppedDesk at;
    at.add_line(3);
    at.add_line(4);
    at.start();
    at.tell(SounderSignal::high);
    ++at.order.tests;
    at.tell(SounderSignal::high);
    at.run(100);
    REQUIRE(at.tests.size() == 2);
    CHECK(at.tests[0].sentence == "not tested: a signal is playing");
    CHECK_FALSE(at.tests[0].tried);
    at.tell(SounderSignal::off);
    at.run(1000);
    ++at.order.tests;
    at.tell(SounderSignal::off);
    at.run(30);
    CHECK(at.made.chip.level(3));
    at.tell(SounderSignal::medium);
    CHECK_FALSE(at.made.chip.level(3));
    at.run(150);
    CHECK(at.made.chip.level(3));
    CHECK(at.made.chip.level(4));
    REQUIRE(at.tests.size() == 4);
    CHECK(at.tests[2].sentence == "not tested: a signal began");
    CHECK(at.tests[3].output == 1);
    CHECK_FALSE(at.tests[3].passed);
}

TEST_CASE("what has played once does not play again after a test") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    at.tell(SounderSignal::low, 1);
    at.run(2000);
    ++at.order.tests;
    at.tell(SounderSignal::low, 1);
    at.run(10'000);
    CHECK(at.edges(3).size() == 6);
}

TEST_CASE("a chime that was heard before a silence is not heard again after it") {
    SteppedDesk at;
    at.add_line(3);
    at.start();
    ++at.order.prompts;
    at.tell(SounderSignal::off);
    at.run(1000);
    at.telling = false;
    at.run(10'000);
    at.telling = true;
    at.run(10'000);
    CHECK(at.edges(3) == Times{0, 400});
}
