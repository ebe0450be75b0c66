// How lines are built: the daemon's own reader must read what is guessed.
#include <doctest/doctest.h>

#include "drivers/links/text_line.hpp"
#include "scan/guess_text.hpp"

using namespace drumwatch;

namespace {

double read(const TextGuess& guess, std::size_t which, const std::string& line) {
    BusConfig bus;
    bus.delimiter = guess.delimiter;
    bus.decimal_comma = guess.decimal_comma;
    bus.checksum = guess.checksum;
    bus.fields = guess.fields;
    ChannelSource source;
    source.text = guess.temperatures.at(which).source;
    const TextValue value = read_text(source, bus, open_line(bus, line));
    CHECK(is_good(value.reading.quality));
    return from_milli(value.reading.value_milli);
}

}  // namespace

TEST_CASE("fields between commas") {
    const TextGuess guess = guess_text({"201.5,250.0", "201.9,250.2"});
    CHECK(guess.delimiter == ',');
    CHECK(guess.fields == 2);
    REQUIRE(guess.temperatures.size() == 2);
    CHECK(read(guess, 1, "201.9,250.2") == doctest::Approx(250.2));
}

TEST_CASE("decimal commas between semicolons are not two fields") {
    const TextGuess guess = guess_text({"201,5;250,0", "201,9;250,2"});
    CHECK(guess.delimiter == ';');
    CHECK(guess.decimal_comma);
    REQUIRE(guess.temperatures.size() == 2);
    CHECK(read(guess, 0, "201,9;250,2") == doctest::Approx(201.9));
}

TEST_CASE("keys, units behind the number and blanks") {
    const TextGuess guess = guess_text({"bean=201.5C air=250.0C fan=75%", "bean=201.7C air=250.3C fan=75%"});
    CHECK(guess.delimiter == ' ');
    REQUIRE(guess.temperatures.size() >= 2);
    CHECK(guess.temperatures[0].source.key == "bean");
    CHECK(guess.temperatures[0].source.suffix == "C");
    CHECK(read(guess, 1, "bean=201.7C air=250.3C fan=75%") == doctest::Approx(250.3));
}

TEST_CASE("Fahrenheit says so, or is too hot for anything else") {
    const TextGuess told = guess_text({"401.0F"});
    REQUIRE(told.temperatures.size() == 1);
    CHECK(told.temperatures[0].fahrenheit);
    CHECK(told.temperatures[0].celsius == doctest::Approx(205));
    const TextGuess hot = guess_text({"701.0"});
    REQUIRE(hot.temperatures.size() == 1);
    CHECK(hot.temperatures[0].fahrenheit);
}

TEST_CASE("a checksum is known by every line, and one line that fails it is none") {
    // NMEA 0183 (from memory): exclusive or of what stands between $ and *.
    const auto with_xor = [](const std::string& body) {
        unsigned sum = 0;
        for (const char byte : body) sum ^= static_cast<unsigned char>(byte);
        char digits[8];
        std::snprintf(digits, sizeof digits, "*%02X", sum);
        return "$" + body + digits;
    };
    const TextGuess guess = guess_text({with_xor("201.5,250.0"), with_xor("201.6,250.1")});
    CHECK(guess.checksum == Checksum::xor_sum);
    CHECK(guess.temperatures.size() == 2);
    CHECK(guess_text({with_xor("201.5,250.0"), "$201.6,250.1*00"}).checksum == Checksum::none);
}

TEST_CASE("counters, clocks, percent of nothing and words are no temperatures") {
    const TextGuess guess =
        guess_text({"17,12:30:05,201.5,ok", "18,12:30:06,201.6,ok", "19,12:30:07,201.4,ok"});
    REQUIRE(guess.temperatures.size() == 1);
    CHECK(guess.temperatures[0].source.field == 3);
    CHECK(guess_text({"hello world"}).temperatures.empty());
    CHECK(guess_text({}).temperatures.empty());
    CHECK(guess_text({""}).temperatures.empty());
    CHECK(guess_text({std::string(600, ',')}).temperatures.empty());
}

TEST_CASE("lines at a wrong rate are not readable") {
    CHECK(is_readable("201.5,250.0"));
    CHECK(!is_readable("\x80\xff\x01 2"));
    CHECK(!is_readable("hello"));
}
