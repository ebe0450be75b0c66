// Buttons over a recording of the kernel's protocol (support/made_gpio_chip.hpp), not hardware.
#include "sounders/button_board.hpp"

#include <doctest/doctest.h>

#include "unit/sounders/made_chip.hpp"

using namespace drumwatch;

namespace {

struct Board {
    MadeChip made;
    SounderSettings settings;
    std::vector<ButtonPress> presses;
    std::vector<SounderNews> news;

    Board() {
        settings.buttons = {{"seen", made.line(1), PullResistor::up, 20, ButtonMeaning::acknowledge},
                            {"quiet", made.line(2), PullResistor::up, 20, ButtonMeaning::silence}};
    }
    SounderCalls calls() {
        SounderCalls calls;
        calls.pressed = [this](const ButtonPress& one) { presses.push_back(one); };
        calls.changed = [this](const SounderNews& one) { news.push_back(one); };
        return calls;
    }
};

}  // namespace

TEST_CASE("each press is told with its button's meaning, as often as it was pressed") {
    Board at;
    ButtonBoard board(at.settings, at.calls());
    CHECK_FALSE(board.step(at.made.now_ms));
    std::vector<pollfd> waiting;
    board.wait_for(waiting);
    CHECK(waiting.size() == 2);
    at.made.chip.drive(2, true);
    CHECK(::poll(waiting.data(), waiting.size(), 0) == 1);
    at.made.chip.drive(2, false);
    at.made.chip.drive(2, true);
    at.made.chip.drive(1, true);
    board.step(at.made.now_ms);
    REQUIRE(at.presses.size() == 3);
    CHECK(at.presses[0].name == "seen");
    CHECK(at.presses[0].meaning == ButtonMeaning::acknowledge);
    CHECK(at.presses[1].button == 1);
    CHECK(at.presses[2].meaning == ButtonMeaning::silence);
    CHECK(at.news.empty());
}

TEST_CASE("a button that is debounced here is told when its level has lasted") {
    Board at;
    at.made.chip.refuse_debouncing(524);
    ButtonBoard board(at.settings, at.calls());
    board.step(at.made.now_ms);
    at.made.chip.drive(1, true);
    const Due due = board.step(at.made.now_ms);
    REQUIRE(due);
    CHECK(*due == at.made.now_ms + 20);
    CHECK(at.presses.empty());
    board.step(*due);
    CHECK(at.presses.size() == 1);
}

TEST_CASE("a button that can't be had is said once and tried again, the other works meanwhile") {
    Board at;
    at.made.chip.hold(1, "tray lamp");
    ButtonBoard board(at.settings, at.calls());
    const Due due = board.step(at.made.now_ms);
    REQUIRE(due);
    CHECK(*due == at.made.now_ms + 5000);
    REQUIRE(at.news.size() == 1);
    CHECK(at.news[0].is_button);
    CHECK(at.news[0].name == "seen");
    CHECK(at.news[0].sentence.find("tray lamp") != std::string::npos);
    at.made.chip.drive(2, true);
    board.step(at.made.now_ms + 100);
    CHECK(at.presses.size() == 1);
    board.step(*due);
    CHECK(at.news.size() == 1);
    at.made.chip.let_go(1);
    board.step(*due + 5000);
    REQUIRE(at.news.size() == 2);
    CHECK(at.news[1].works);
}
