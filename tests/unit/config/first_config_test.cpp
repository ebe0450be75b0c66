#include "config/first_config.hpp"

#include "unit/config/reading.hpp"

using namespace drumwatch;

TEST_CASE(
    "a first configuration is right as it is, by Modbus and by serial line, with and without what may be "
    "absent") {
    int made = 0;
    for (const char* host : {"", "192.168.10.31", "controller.local"}) {
        for (const char* unit : {"°C", "°F"}) {
            for (const int exhaust : {-1, 12}) {
                for (const char* place : {"", "bean", "exhaust duct"}) {
                    FirstAnswers answers;
                    answers.host = host;
                    answers.device = *host ? "" : "/dev/serial/by-id/logger";
                    answers.unit = unit;
                    answers.bean = 10;
                    answers.exhaust = exhaust;
                    answers.burner = exhaust < 0 ? -1 : 3;
                    answers.limiter_place = place;
                    answers.limiter_c = 255;
                    const Config config = right(first_config(answers));
                    CHECK(config.channels.size() == (exhaust < 0 ? 1 : 3));
                    CHECK(config.limiter.stated == (*place != 0));
                    CHECK(config.alarms[AlarmRule::bean_high_high].limit == 240);
                    CHECK(config.buses[0].kind == (*host ? BusKind::modbus_tcp : BusKind::serial_text));
                    ++made;
                }
            }
        }
    }
    CHECK(made == 36);
}

TEST_CASE("whatever is answered, the text is JSON, and what it says is what was answered or is refused") {
    for (const char* hostile : {"\"", "\\", "a\nb", "\t", "// none", "{}", "\x01", "Fen Meadow ☕ 焙煎",
                                "\",\"web\":{", "\xff\xfe", "", " "}) {
        CAPTURE(hostile);
        FirstAnswers answers;
        answers.host = "127.0.0.1";
        answers.station = hostile;
        answers.machine = hostile;
        answers.limiter_place = hostile;
        answers.limiter_c = 250;
        answers.record = std::string("x") + hostile;
        const ConfigReading reading = parse_config(first_config(answers), kPath);
        if (reading.config) CHECK(reading.config->station == hostile);
        const bool bytes_that_are_no_text = hostile[0] == '\xff';
        for (const ConfigMistake& mistake : reading.mistakes)
            CHECK_MESSAGE(has(mistake.message, "not JSON") == bytes_that_are_no_text, mistake.message);
    }
    FirstAnswers answers;
    answers.host = "127.0.0.1";
    for (const double huge : {1e300, -1.0, 0.0, 301.0}) {
        answers.limit_c = huge;
        CHECK_FALSE(parse_config(first_config(answers), kPath).config);
    }
}

TEST_CASE("a first configuration says what Drumwatch is not, and that no limiter is stated") {
    FirstAnswers answers;
    answers.host = "127.0.0.1";
    const std::string text = first_config(answers);
    CHECK(has(text, "It is not burner management, not a high-limit control, not fire or gas"));
    CHECK(has(text, "\"limiter\": \"none stated\""));
}
