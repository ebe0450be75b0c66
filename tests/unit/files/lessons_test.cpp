// What earlier roasts taught, written and read back.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "files/lessons_json.hpp"
#include "unit/files/scratch.hpp"

using namespace drumwatch;

namespace {

std::string wrong(const std::string& text) {
    const auto lessons = parse_lessons(text);
    REQUIRE_MESSAGE(!lessons.ok(), text);
    return lessons.error();
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("lessons come back exactly as they were written") {
    Lessons lessons;
    lessons.roasts = 12;
    lessons.crack_c = 198.0 + 1.0 / 3;
    lessons.crack_spread_c = std::sqrt(2.0);
    const std::string text = write_lessons(lessons);
    const auto again = parse_lessons(text);
    REQUIRE_MESSAGE(again.ok(), again.error());
    CHECK(again.value().roasts == 12);
    CHECK(again.value().crack_c == lessons.crack_c);
    CHECK(again.value().crack_spread_c == lessons.crack_spread_c);
    CHECK(write_lessons(again.value()) == text);
}

TEST_CASE("a field that is left out is that of a beginner") {
    const auto lessons = parse_lessons(R"({"drumwatch_lessons": 1, "crack_c": 200.5})");
    REQUIRE_MESSAGE(lessons.ok(), lessons.error());
    CHECK(lessons.value().roasts == 0);
    CHECK(lessons.value().crack_c == 200.5);
}

TEST_CASE("lessons that can't be are refused at their place") {
    CHECK(has(wrong(""), "line 1"));
    CHECK(has(wrong("[1]"), "line 1"));
    CHECK(has(wrong(R"({"roasts": 3})"), "drumwatch_lessons"));
    CHECK(has(wrong(R"({"drumwatch_lessons": 2})"), "/drumwatch_lessons"));
    CHECK(has(wrong("{\"drumwatch_lessons\": 1,\n\"roasts\": -1}"), "line 2: /roasts"));
    CHECK(has(wrong(R"({"drumwatch_lessons": 1, "roasts": 2.5})"), "/roasts"));
    CHECK(has(wrong(R"({"drumwatch_lessons": 1, "crack_c": 1e999})"), "line 1"));
    CHECK(has(wrong(R"({"drumwatch_lessons": 1, "crack_c": 388})"), "300 °C"));
    CHECK(has(wrong(R"({"drumwatch_lessons": 1, "crack_c": "hot"})"), "/crack_c"));
    CHECK(has(wrong(R"({"drumwatch_lessons": 1, "crackc": 200})"), "crack_c"));
}

TEST_CASE("a lessons file that is not there is named") {
    const Scratch scratch;
    const auto missing = read_lessons(scratch.path("none.json"));
    REQUIRE_FALSE(missing.ok());
    CHECK(has(missing.error(), "none.json"));
    const auto there = read_lessons(scratch.write("some.json", R"({"drumwatch_lessons": 1, "roasts": 4})"));
    REQUIRE_MESSAGE(there.ok(), there.error());
    CHECK(there.value().roasts == 4);
}
