#include <doctest/doctest.h>
#include <fcntl.h>
#include <unistd.h>

#include <cmath>

#include "lab.hpp"
#include "simulator/faces/registers.hpp"
#include "simulator/faces/serial_face.hpp"

using namespace drumwatch::simulator;
using drumwatch::test::Lab;

namespace {

/// IEEE 754 single precision by its definition (not by reinterpreting memory): sign, exponent, fraction.
double decoded(std::uint16_t high, std::uint16_t low) {
    const int exponent = (high >> 7) & 0xFF;
    const double fraction = ((high & 0x7F) * 65536.0 + low) / 8388608.0;
    const double size = std::ldexp(1.0 + fraction, exponent - 127);
    return (high & 0x8000) != 0 ? -size : size;
}

}  // namespace

TEST_CASE("Registers hold tenths, floats and time as the map says") {
    Lab lab(Lab::Setting{});
    lab.run_to_charge_plus(250.0);
    const Registers out = registers_of(lab.floor());
    for (std::size_t i = 0; i < kProbeCount; ++i) {
        const double reading_c = lab.floor().readings()[i];
        CHECK(out.input[i] / 10.0 == doctest::Approx(reading_c));
        CHECK(decoded(out.input[10 + 2 * i], out.input[11 + 2 * i]) == doctest::Approx(reading_c));
    }
    CHECK(out.holding[0] == 800);
    CHECK(out.holding[1] == 600);
    CHECK(out.holding[2] == 520);
    CHECK(out.holding[3] * 65536 + out.holding[4] == lab.floor().sim_ms());
    CHECK(out.holding[5] == 2);
}

TEST_CASE("An open probe is 32767 and a float that is no number") {
    Lab::Setting setting;
    setting.faults = {"open-bean@10", "swapped-words@20"};
    Lab lab(setting);
    lab.run_to_charge_plus(11.0);
    CHECK(registers_of(lab.floor()).input[0] == 0x7FFF);
    CHECK((registers_of(lab.floor()).input[10] & 0x7F80) == 0x7F80);
    CHECK((registers_of(lab.floor()).input[10] & 0x007F) != 0);
    const auto straight = registers_of(lab.floor()).input;
    CHECK(decoded(straight[12], straight[13]) == doctest::Approx(lab.floor().readings()[1]));
    lab.run_to_charge_plus(21.0);
    const auto swapped = registers_of(lab.floor()).input;
    CHECK(decoded(swapped[13], swapped[12]) == doctest::Approx(lab.floor().readings()[1]));
}

TEST_CASE("A serial line has two temperatures with a point") {
    CHECK(serial_line({187.4, 221.0, 0, 0, 0, 0, 0}) == "187.4,221.0\r\n");
    CHECK(serial_line({std::nan(""), -0.5, 0, 0, 0, 0, 0}) == "---,-0.5\r\n");
    CHECK(serial_line({-12.0, 0.04, 0, 0, 0, 0, 0}) == "-12.0,0.0\r\n");
}

TEST_CASE("A mute serial line says nothing, stays open and speaks again") {
    Lab::Setting setting;
    setting.routine.batches = 1;
    setting.faults = {"mute-serial@10+5"};
    Lab lab(setting);
    SerialFace face("", 250);
    const int reader = open(face.path().c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    REQUIRE(reader >= 0);
    int before = 0;
    int during = 0;
    int after = 0;
    lab.run([&](const Floor& floor) {
        face.follow(floor);
        const double since_s = floor.batch() > 0 ? *floor.since_charge_s() : -1.0;
        if (since_s < 0.0 || since_s > 20.0) return;
        char bytes[256];
        const bool said = read(reader, bytes, sizeof bytes) > 0;
        if (since_s < 10.0) before += said ? 1 : 0;
        if (since_s > 10.3 && since_s < 15.0) during += said ? 1 : 0;
        if (since_s > 15.0) after += said ? 1 : 0;
    });
    close(reader);
    CHECK(before > 30);
    CHECK(during == 0);
    CHECK(after > 15);
}
