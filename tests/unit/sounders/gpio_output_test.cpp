// Outputs over a recording of the kernel's protocol after linux/gpio.h (support/made_gpio_chip.hpp), not
// hardware; where something is no chip at all, the kernel itself answers.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <fstream>
#include <string>

#include "sounders/gpio_line.hpp"
#include "unit/sounders/made_chip.hpp"

using namespace drumwatch;

namespace {

using Switches = std::vector<MadeGpioChip::Switched>;

std::string why_not(const GpioPlace& place) {
    const Result<GpioOutput> line = GpioOutput::open(place);
    return line ? "" : line.error();
}

bool says(const std::string& sentence, const std::string& part) {
    return sentence.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("an output is off from the first moment, does as it is told, and is off and free at its end") {
    MadeChip made;
    {
        Result<GpioOutput> line = GpioOutput::open(made.line(3));
        REQUIRE(line);
        const auto held = made.chip.held(3);
        REQUIRE(held);
        CHECK(std::string(held->consumer) == "drumwatch");
        CHECK(held->config.flags == GPIO_V2_LINE_FLAG_OUTPUT);
        CHECK(line.value().set(true).ok());
        CHECK(line.value().set(false).ok());
        CHECK(line.value().set(true).ok());
    }
    const std::int64_t now = made.now_ms;
    CHECK(made.chip.switched() ==
          Switches{{now, 3, false}, {now, 3, true}, {now, 3, false}, {now, 3, true}, {now, 3, false}});
    CHECK_FALSE(made.chip.held(3));
}

TEST_CASE("an active low output rests at the high level") {
    MadeChip made;
    {
        Result<GpioOutput> line = GpioOutput::open(made.line(4, true));
        REQUIRE(line);
        CHECK(made.chip.level(4));
        CHECK(line.value().set(true).ok());
        CHECK_FALSE(made.chip.level(4));
    }
    CHECK(made.chip.level(4));
}

TEST_CASE(
    "a line that another program holds is refused with that one's name, and to be had once it is free") {
    MadeChip made;
    made.chip.hold(5, "tray lamp");
    CHECK(why_not(made.line(5)) ==
          "line 5 of " + made.path +
              " (made-expander) is used by \"tray lamp\": end that, or choose another "
              "line");
    made.chip.hold(5, "");
    CHECK(says(why_not(made.line(5)), "used by something that gives no name"));
    made.chip.let_go(5);
    CHECK(GpioOutput::open(made.line(5)).ok());
    // Our own first one counts as well.
    const Result<GpioOutput> first = GpioOutput::open(made.line(6));
    CHECK(says(why_not(made.line(6)), "used by \"drumwatch\""));
}

TEST_CASE("a line beyond the chip is refused with the lines that there are") {
    MadeChip made;
    CHECK(why_not(made.line(15)).empty());
    CHECK(why_not(made.line(16)) == made.path + " (made-expander) has the lines 0 to 15, but no line 16");
}

TEST_CASE("what is missing or no chip is said with the chips of this box, by the kernel's own answers") {
    CHECK(says(why_not({"/dev/gpiochip-that-is-missing", 0, false}),
               "there is no GPIO chip /dev/gpiochip-that-is-missing: "));
    CHECK(says(why_not({"/dev/null", 0, false}), "/dev/null is no GPIO chip"));
    TempDir folder;
    std::ofstream(folder.file("notes")) << "no chip";
    CHECK(says(why_not({folder.file("notes"), 0, false}), "is no GPIO chip"));
}

TEST_CASE("without permission it is said which group the user must be in") {
    if (::geteuid() != 0) return;  // only root can become somebody else for a moment
    TempDir folder;
    const std::string chip = folder.file("gpiochip7");
    std::ofstream(chip).close();
    REQUIRE(::chmod(folder.path().c_str(), 0755) == 0);
    constexpr gid_t kDialout = 20;  // Debian's fixed number, base-passwd
    REQUIRE(::chown(chip.c_str(), 0, kDialout) == 0);
    REQUIRE(::chmod(chip.c_str(), 0660) == 0);
    constexpr uid_t kNobody = 65534;
    REQUIRE(::seteuid(kNobody) == 0);
    const std::string group = why_not({chip, 0, false});
    REQUIRE(::seteuid(0) == 0);
    CHECK(group ==
          "no permission for " + chip + ": add the user that drumwatch runs as to the group dialout");
    REQUIRE(::chmod(chip.c_str(), 0600) == 0);
    REQUIRE(::seteuid(kNobody) == 0);
    const std::string rule = why_not({chip, 0, false});
    REQUIRE(::seteuid(0) == 0);
    CHECK(says(rule, "by a udev rule (SUBSYSTEM==\"gpio\", GROUP=\"gpio\", MODE=\"0660\")"));
}

TEST_CASE("a line that can't be switched, and a chip that is gone, are errors with a sentence") {
    MadeChip made;
    Result<GpioOutput> line = GpioOutput::open(made.line(1));
    REQUIRE(line);
    made.chip.refuse_switching(EIO);
    const Result<Done> failed = line.value().set(true);
    REQUIRE_FALSE(failed);
    CHECK(failed.error() == "cannot switch line 1 of " + made.path + " on: Input/output error");
    made.chip.refuse_switching(0);
    made.chip.unplug();
    CHECK_FALSE(line.value().set(false).ok());
    CHECK(says(why_not(made.line(2)), "is gone: plug it in again"));
    made.chip.plug_in();
    CHECK_FALSE(line.value().set(false).ok());
    CHECK(why_not(made.line(1)).empty());
}

TEST_CASE("the recording refuses what the kernel's header calls wrong") {
    MadeChip made;
    const int chip = ::open(made.path.c_str(), O_RDWR | O_CLOEXEC);
    REQUIRE(chip >= 0);
    const auto refused = [&](gpio_v2_line_request request) {
        return ::ioctl(chip, GPIO_V2_GET_LINE_IOCTL, &request) == -1 && errno == EINVAL;
    };
    gpio_v2_line_request good{};
    good.num_lines = 1;
    good.config.flags = GPIO_V2_LINE_FLAG_INPUT;
    gpio_v2_line_request bad = good;
    bad.num_lines = 0;
    CHECK(refused(bad));
    bad = good;
    bad.padding[2] = 1;
    CHECK(refused(bad));
    bad = good;
    bad.config.flags |= GPIO_V2_LINE_FLAG_OUTPUT;
    CHECK(refused(bad));
    bad = good;
    bad.config.flags = GPIO_V2_LINE_FLAG_OUTPUT | GPIO_V2_LINE_FLAG_EDGE_RISING;
    CHECK(refused(bad));
    bad = good;
    bad.config.flags |= GPIO_V2_LINE_FLAG_BIAS_PULL_UP | GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN;
    CHECK(refused(bad));
    bad = good;
    bad.config.num_attrs = GPIO_V2_LINE_NUM_ATTRS_MAX + 1;
    CHECK(refused(bad));
    gpio_v2_line_values values{};
    CHECK(::ioctl(chip, _IOWR(0xB4, 0x07, gpio_v2_line_values), &values) == -1);  // a wrong size
    CHECK(errno == EINVAL);
    CHECK(::ioctl(chip, GPIO_V2_GET_LINE_IOCTL, &good) == 0);
    values.mask = 1;
    CHECK(::ioctl(good.fd, GPIO_V2_LINE_SET_VALUES_IOCTL, &values) == -1);
    CHECK(errno == EPERM);
    ::close(good.fd);
    ::close(chip);
}
