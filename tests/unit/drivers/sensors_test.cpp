// Numbers to what sensors measure, and decoding with each of them. Curves and tolerances stand against their
// sources in tests/reference/thermocouple and tests/reference/rtd.
#include "drivers/sensors/sensors.hpp"

#include <doctest/doctest.h>

#include <limits>

#include "driver_fixtures.hpp"
#include "drivers/sensors/decode.hpp"

using namespace drumwatch;

namespace {

Reading decoded(const SensorSource& sensor, std::string_view number, SourceUnit unit = SourceUnit::own) {
    ChannelSource channel = text_channel(3, 1, "open");
    channel.sensor = sensor;
    channel.unit = unit;
    return reading_of(channel, number);
}

bool is(const Reading& reading, Milli milli) {
    return reading.channel == 3 && reading.quality == Quality::good && reading.value_milli == milli;
}

}  // namespace

TEST_CASE("a thermocouple's millivolts are degrees, with the emf of its terminals added") {
    // 8.138 mV at 200 degrees and 1.000 at 25; type T 9.288 and 0.992: NIST Monograph 175, printed.
    CHECK(decoded(ThermocoupleSource{'K', 0, {}}, "8.138").value_milli ==
          doctest::Approx(200'000).epsilon(1e-4));
    CHECK(decoded(ThermocoupleSource{'K', 25, {}}, "7.138").value_milli ==
          doctest::Approx(200'000).epsilon(1e-4));
    CHECK(decoded(ThermocoupleSource{'T', 25, {}}, "8.296").value_milli ==
          doctest::Approx(200'000).epsilon(1e-4));
    CHECK(decoded(ThermocoupleSource{'K', 25, {}}, "60").quality == Quality::out_of_span);
    CHECK(decoded(ThermocoupleSource{'B', 25, {}}, "0.1").quality == Quality::out_of_span);
    CHECK(decoded(ThermocoupleSource{'K', 25, {}}, "open").quality == Quality::open_circuit);
    CHECK(decoded(ThermocoupleSource{'K', 25, {}}, "volts").quality == Quality::bad_reply);
    CHECK(measure(ThermocoupleSource{'K', 25, {}}, std::numeric_limits<double>::quiet_NaN()).quality ==
          Quality::out_of_span);
}

TEST_CASE("millivolts come scaled from a register, and its open sign stays open") {
    ChannelSource channel = modbus_channel(3, RegisterTable::input, 0, DataType::int16, 0.001);
    channel.modbus->open_raw = 32767;
    channel.sensor = ThermocoupleSource{'K', 25, {}};
    CHECK(decode_registers(channel, 7138, 0).value_milli == doctest::Approx(200'000).epsilon(1e-4));
    CHECK(decode_registers(channel, 32767, 0).quality == Quality::open_circuit);
}

TEST_CASE("ohms of a resistance thermometer are degrees") {
    // 138.5055 ohm at 100 degrees, 60.2558 at -100: IEC 60751.
    CHECK(is(decoded(RtdSource{RtdType::pt100}, "138.5055"), 100'000));
    CHECK(is(decoded(RtdSource{RtdType::pt1000}, "1385.055"), 100'000));
    CHECK(decoded(RtdSource{RtdType::pt100}, "60.25584").value_milli == doctest::Approx(-100'000));
    CHECK(decoded(RtdSource{RtdType::pt100}, "0").quality == Quality::out_of_span);       // a short
    CHECK(decoded(RtdSource{RtdType::pt100}, "3000").quality == Quality::out_of_span);    // a broken wire
    CHECK(decoded(RtdSource{RtdType::pt1000}, "138.5").quality == Quality::out_of_span);  // the other kind
}

TEST_CASE("4 to 20 mA is a straight line between its range values, with faults under and over it") {
    const SignalSource duct{4, 20, 0, 600, 3.6, 21};
    CHECK(is(decoded(duct, "4"), 0));
    CHECK(is(decoded(duct, "12"), 300'000));
    CHECK(is(decoded(duct, "20"), 600'000));
    CHECK(is(decoded(duct, "3.8"), -7'500));    // NAMUR NE 43: still a value down to 3.8 mA
    CHECK(is(decoded(duct, "20.5"), 618'750));  // and up to 20.5
    CHECK(decoded(duct, "3.6").quality == Quality::good);
    CHECK(decoded(duct, "3.59").quality == Quality::out_of_span);
    CHECK(decoded(duct, "21").quality == Quality::good);
    CHECK(decoded(duct, "21.01").quality == Quality::out_of_span);
    CHECK(decoded(duct, "0.5").quality == Quality::out_of_span);
    CHECK(decoded(duct, "0.02").quality == Quality::open_circuit);
    CHECK(decoded(duct, "-0.01").quality == Quality::open_circuit);
    const SignalSource falling{4, 20, 100, 0, 3.6, 21};
    CHECK(is(decoded(falling, "8"), 75'000));
}

TEST_CASE("0 to 10 V has no live zero to tell an open loop by") {
    CHECK(usual_fault_below(4, 20) == doctest::Approx(3.6));
    CHECK(usual_fault_above(4, 20) == doctest::Approx(21));
    const SignalSource gas{0, 10, 0, 6, usual_fault_below(0, 10), usual_fault_above(0, 10)};
    CHECK(is(decoded(gas, "0"), 0));
    CHECK(is(decoded(gas, "5"), 3'000));
    CHECK(is(decoded(gas, "-0.2"), -120));
    CHECK(decoded(gas, "-0.3").quality == Quality::out_of_span);
    CHECK(decoded(gas, "10.7").quality == Quality::out_of_span);
}

TEST_CASE("hertz are turns a minute") {
    CHECK(is(decoded(PulseSource{4, false, 32}, "3.6"), 54'000));
    CHECK(is(decoded(PulseSource{1, false, 32}, "0"), 0));
}

TEST_CASE("units of the source become the channel's own") {
    // By definition of the units.
    CHECK(is(decoded({}, "473.15", SourceUnit::kelvin), 200'000));
    CHECK(is(decoded({}, "392", SourceUnit::fahrenheit), 200'000));
    CHECK(is(decoded({}, "1.013", SourceUnit::bar), 101'300));
    CHECK(is(decoded({}, "20", SourceUnit::millibar), 2'000));
    CHECK(is(decoded({}, "250", SourceUnit::pascal), 250));
    CHECK(is(decoded({}, "12.005", SourceUnit::kilogram), 12'005'000));
    CHECK(decoded({}, "3000", SourceUnit::kilogram).quality == Quality::bad_reply);  // more than is kept
    // A transmitter of 0 to 60 mbar.
    CHECK(is(decoded(SignalSource{4, 20, 0, 60, 3.6, 21}, "12", SourceUnit::millibar), 3'000));
    // A carbon monoxide transmitter of 0 to 300 ppm.
    CHECK(is(decoded(SignalSource{4, 20, 0, 300, 3.6, 21}, "5.6"), 30'000));
}
