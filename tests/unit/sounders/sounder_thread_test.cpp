// The thread in real time, over a recording of the kernel's protocol (support/made_gpio_chip.hpp), not
// hardware; edges to the millisecond are judged in stepped time (sounder_desk_test.cpp).
#include "sounders/sounder_thread.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <mutex>

#include "support/made_gpio_chip.hpp"
#include "unit/drivers/eventually.hpp"
#include "unit/sounders/processes.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

std::int64_t real_ms() {
    const auto now = std::chrono::steady_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::milliseconds>(now).count();
}

struct Room {
    TempDir folder;
    std::string path = folder.file("gpiochip7");
    MadeGpioChip chip{path, "made-expander", 16, real_ms};
    SounderSettings settings;
    std::mutex mutex;
    std::vector<SounderTest> tests;
    std::atomic<int> presses = 0;
    std::unique_ptr<SounderThread> thread;

    Room() {
        SounderOutput& output = settings.outputs.emplace_back();
        output.name = "horn";
        output.line = {path, 3, false};
    }
    void start() {
        SounderCalls calls;
        calls.tested = [this](const SounderTest& one) {
            const std::lock_guard lock(mutex);
            tests.push_back(one);
        };
        calls.pressed = [this](const ButtonPress&) { ++presses; };
        thread = std::make_unique<SounderThread>(settings, calls);
    }
    std::size_t switched() const { return chip.switched().size(); }
    std::size_t tested() {
        const std::lock_guard lock(mutex);
        return tests.size();
    }
    bool tells_until(Pattern pattern, const std::function<bool()>& done) {
        return eventually([&] {
            thread->tell(pattern, 0);
            return done();
        });
    }
};

}  // namespace

TEST_CASE("the thread plays what it is told, stops when it is told, and is off at its end") {
    Room room;
    room.settings.silence_after_ms = 600'000;  // so that after `off` nothing but the order wakes the thread
    room.start();
    CHECK(room.tells_until(Pattern::high, [&] { return room.switched() >= 12; }));
    CHECK(room.tells_until(Pattern::off, [&] { return !room.chip.level(3); }));
    std::this_thread::sleep_for(300ms);
    const std::size_t still = room.switched();
    std::this_thread::sleep_for(700ms);
    CHECK(room.switched() == still);
    CHECK(room.tells_until(Pattern::medium, [&] { return room.chip.level(3); }));
    room.thread.reset();
    CHECK_FALSE(room.chip.level(3));
    CHECK_FALSE(room.chip.held(3));
}

TEST_CASE("a core that says nothing more leaves no sounder on, and is heard again when it is back") {
    Room room;
    room.settings.silence_after_ms = 400;
    room.start();
    CHECK(room.tells_until(Pattern::high, [&] { return room.switched() >= 2; }));
    std::this_thread::sleep_for(1s);
    const std::size_t still = room.switched();
    CHECK_FALSE(room.chip.level(3));
    std::this_thread::sleep_for(4s);
    CHECK(room.switched() == still);
    CHECK(room.tells_until(Pattern::high, [&] { return room.switched() > still + 4; }));
}

TEST_CASE("prompts, tests and buttons go through the thread") {
    Room room;
    room.settings.buttons = {
        {"seen", {room.path, 1, false}, PullResistor::down, 20, ButtonMeaning::acknowledge}};
    room.settings.silence_after_ms = 600'000;  // so that nothing but the button wakes the thread in the end
    room.start();
    room.thread->tell(Pattern::off, 0);
    CHECK(room.tells_until(Pattern::off, [&] { return room.chip.held(1).has_value(); }));
    room.thread->prompt();
    CHECK(room.tells_until(Pattern::off, [&] { return room.switched() >= 3; }));
    std::this_thread::sleep_for(500ms);
    room.thread->test();
    CHECK(room.tells_until(Pattern::off, [&] { return room.tested() == 1; }));
    CHECK(room.tests.at(0).passed);
    room.chip.drive(1, true);
    CHECK(eventually([&] { return room.presses == 1; }));
}

TEST_CASE("at the thread's end a command that plays is gone, and nothing more is called") {
    Room room;
    const std::string log = room.folder.file("log");
    SounderOutput& player = room.settings.outputs.emplace_back();
    player.name = "player";
    player.kind = SounderKind::command;
    player.command = {script(room.folder, "echo playing > " + log + "\nexec sleep 600\n")};
    room.start();
    CHECK(room.tells_until(Pattern::high, [&] { return !contents(log).empty(); }));
    room.thread.reset();
    CHECK(no_children());
}
