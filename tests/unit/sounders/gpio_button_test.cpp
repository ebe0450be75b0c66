// Buttons over a recording of the kernel's protocol after linux/gpio.h (support/made_gpio_chip.hpp), not
// hardware.
#include <doctest/doctest.h>
#include <poll.h>

#include <cerrno>
#include <utility>
#include <vector>

#include "sounders/gpio_button.hpp"
#include "unit/sounders/made_chip.hpp"

using namespace drumwatch;

namespace {

ButtonInput button_on(const GpioPlace& line) {
    ButtonInput button;
    button.name = "acknowledge";
    button.line = line;
    return button;
}

bool readable(const GpioButton& button) {
    pollfd one{button.descriptor(), POLLIN, 0};
    return ::poll(&one, 1, 0) == 1;
}

/// Levels at the pin with their times from now on; how many presses are counted when it is asked at every
/// millisecond.
int count(MadeChip& made, GpioButton& button, const std::vector<std::pair<int, bool>>& levels) {
    const std::int64_t began = made.now_ms;
    int pressed = 0;
    for (std::size_t next = 0; made.now_ms < began + 500; ++made.now_ms) {
        for (; next < levels.size() && began + levels[next].first == made.now_ms; ++next)
            made.chip.drive(button_on(made.line(2)).line.offset, levels[next].second);
        const Result<int> presses = button.presses(made.now_ms);
        REQUIRE(presses);
        pressed += presses.value();
    }
    return pressed;
}

}  // namespace

TEST_CASE("a button is asked for as an input with its bias, both edges and the kernel's debouncing") {
    MadeChip made;
    ButtonInput wish = button_on(made.line(2, true));
    wish.bias = PullResistor::up;
    wish.debounce_ms = 25;
    const Result<GpioButton> button = GpioButton::open(wish);
    REQUIRE(button);
    CHECK(button.value().kernel_debounces());
    const auto held = made.chip.held(2);
    REQUIRE(held);
    CHECK(held->config.flags ==
          (GPIO_V2_LINE_FLAG_INPUT | GPIO_V2_LINE_FLAG_EDGE_RISING | GPIO_V2_LINE_FLAG_EDGE_FALLING |
           GPIO_V2_LINE_FLAG_BIAS_PULL_UP | GPIO_V2_LINE_FLAG_ACTIVE_LOW));
    REQUIRE(held->config.num_attrs == 1);
    CHECK(held->config.attrs[0].attr.id == GPIO_V2_LINE_ATTR_ID_DEBOUNCE);
    CHECK(held->config.attrs[0].attr.debounce_period_us == 25'000);
    CHECK(held->config.attrs[0].mask == 1);
}

TEST_CASE("each bias is the kernel's flag of that name") {
    const std::vector<std::pair<PullResistor, std::uint64_t>> cases{
        {PullResistor::as_is, 0},
        {PullResistor::none, GPIO_V2_LINE_FLAG_BIAS_DISABLED},
        {PullResistor::up, GPIO_V2_LINE_FLAG_BIAS_PULL_UP},
        {PullResistor::down, GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN}};
    for (const auto& [bias, flag] : cases) {
        MadeChip made;
        ButtonInput wish = button_on(made.line(2));
        wish.bias = bias;
        const Result<GpioButton> button = GpioButton::open(wish);
        REQUIRE(button);
        constexpr std::uint64_t kBiases = GPIO_V2_LINE_FLAG_BIAS_DISABLED | GPIO_V2_LINE_FLAG_BIAS_PULL_UP |
                                          GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN;
        CHECK((made.chip.held(2)->config.flags & kBiases) == flag);
    }
}

TEST_CASE("presses are counted, releases are not, and reading never waits") {
    for (const bool active_low : {false, true}) {
        MadeChip made;
        made.chip.drive(2, active_low);  // not pressed
        Result<GpioButton> opened = GpioButton::open(button_on(made.line(2, active_low)));
        REQUIRE(opened);
        GpioButton& button = opened.value();
        CHECK_FALSE(readable(button));
        CHECK(button.presses(made.now_ms).value() == 0);
        made.chip.drive(2, !active_low);
        CHECK(readable(button));
        CHECK(button.presses(made.now_ms).value() == 1);
        CHECK_FALSE(readable(button));
        made.chip.drive(2, active_low);
        CHECK(button.presses(made.now_ms).value() == 0);
        made.chip.drive(2, !active_low);
        made.chip.drive(2, active_low);
        made.chip.drive(2, !active_low);
        CHECK(button.presses(made.now_ms).value() == 2);
        CHECK_FALSE(button.due_ms());
    }
}

TEST_CASE("where the kernel refuses to debounce, a level counts once it has lasted") {
    constexpr int kNotSupported = 524;  // the kernel's own ENOTSUPP, which reaches programs as it is
    for (const int error : {kNotSupported, EOPNOTSUPP, EINVAL}) {
        MadeChip made;
        made.chip.refuse_debouncing(error);
        Result<GpioButton> opened = GpioButton::open(button_on(made.line(2)));
        REQUIRE(opened);
        GpioButton& button = opened.value();
        CHECK_FALSE(button.kernel_debounces());
        CHECK(made.chip.held(2)->config.num_attrs == 0);
        // Pressed with bounces, released with bounces: one press.
        CHECK(count(made, button,
                    {{10, true}, {13, false}, {15, true}, {120, false}, {124, true}, {126, false}}) == 1);
        // A spike of 5 ms: none. Pressed for 20 ms exactly: one. A dip while held: still one.
        CHECK(count(made, button, {{10, true}, {15, false}}) == 0);
        CHECK(count(made, button, {{10, true}, {30, false}}) == 1);
        CHECK(count(made, button, {{10, true}, {100, false}, {110, true}, {200, false}}) == 1);
        CHECK(count(made, button, {{10, true}, {100, false}, {200, true}, {300, false}}) == 2);
    }
}

TEST_CASE("a level that lasts long enough is counted when it is due, though nothing is readable") {
    MadeChip made;
    made.chip.refuse_debouncing(EOPNOTSUPP);
    Result<GpioButton> opened = GpioButton::open(button_on(made.line(2)));
    REQUIRE(opened);
    GpioButton& button = opened.value();
    CHECK_FALSE(button.due_ms());
    made.chip.drive(2, true);
    CHECK(button.presses(made.now_ms).value() == 0);
    REQUIRE(button.due_ms());
    CHECK(*button.due_ms() == made.now_ms + 20);
    CHECK(button.presses(made.now_ms + 19).value() == 0);
    CHECK(button.presses(made.now_ms + 20).value() == 1);
    CHECK_FALSE(button.due_ms());
}

TEST_CASE("events that were lost in a full buffer leave no button held down for ever") {
    MadeChip made;
    made.chip.refuse_debouncing(EOPNOTSUPP);
    Result<GpioButton> opened = GpioButton::open(button_on(made.line(2)));
    REQUIRE(opened);
    GpioButton& button = opened.value();
    for (int i = 0; i < 50; ++i) {
        made.chip.drive(2, i % 2 == 0);
        ++made.now_ms;
    }
    CHECK(button.presses(made.now_ms).value() == 0);
    made.now_ms += 100;
    CHECK(button.presses(made.now_ms).value() == 0);
    CHECK(count(made, button, {{10, true}, {60, false}}) == 1);
}

TEST_CASE("a button held down at the opening was not pressed") {
    for (const int refused : {0, EOPNOTSUPP}) {
        MadeChip made;
        made.chip.refuse_debouncing(refused);
        made.chip.drive(2, true);
        Result<GpioButton> opened = GpioButton::open(button_on(made.line(2)));
        REQUIRE(opened);
        CHECK(opened.value().presses(made.now_ms + 1000).value() == 0);
        made.now_ms += 2000;
        made.chip.drive(2, false);
        made.now_ms += 50;
        made.chip.drive(2, true);
        CHECK(opened.value().presses(made.now_ms + 50).value() == 1);
    }
}

TEST_CASE("a busy line is not taken for one that can't be debounced") {
    MadeChip made;
    made.chip.hold(2, "tray lamp");
    const Result<GpioButton> button = GpioButton::open(button_on(made.line(2)));
    REQUIRE_FALSE(button);
    CHECK(button.error().find("tray lamp") != std::string::npos);
}
