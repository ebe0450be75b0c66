// The tree with places, and the strict typed reader on top of it.
#include <doctest/doctest.h>

#include <array>
#include <clocale>
#include <string>

#include "files/json_node.hpp"
#include "files/json_object.hpp"

using namespace drumwatch;

namespace {

constexpr std::array<JsonKey, 5> kKeys{{{"port", true}, {"name"}, {"on"}, {"list"}, {"inner"}}};

JsonNode root_of(const std::string& text) {
    JsonReading reading = read_json(text, JsonComments::allowed);
    for (const JsonMistake& mistake : reading.mistakes) MESSAGE(mistake.message);
    REQUIRE(reading.mistakes.empty());
    REQUIRE(reading.root);
    return *reading.root;
}

std::string place(TextPlace at) { return std::to_string(at.line) + ":" + std::to_string(at.column); }

}  // namespace

TEST_CASE("json: every value and key knows its line and column, past comments and beyond ASCII") {
    const JsonNode root = root_of(
        "\xEF\xBB\xBF// first\n{\"a\": 1, /* two\n lines */ \"é\": [true, -2.5e1,\n\"x\\\"y\"],\n  \"z\" : "
        "{\"k\":null}}");
    CHECK(place(root.place) == "2:1");
    REQUIRE(root.items.size() == 3);
    CHECK(root.items[0].integer == 1);
    CHECK(place(root.items[0].key_place) == "2:2");
    CHECK(place(root.items[0].place) == "2:7");
    const JsonNode& list = root.items[1];
    CHECK(list.key == "é");
    CHECK(place(list.key_place) == "3:11");
    CHECK(place(list.place) == "3:16");  // é is one column
    CHECK(place(list.items[0].place) == "3:17");
    CHECK(list.items[1].number == -25);
    CHECK(place(list.items[1].place) == "3:23");
    CHECK(list.items[2].text == "x\"y");
    CHECK(place(list.items[2].place) == "4:1");
    CHECK(place(root.items[2].place) == "5:9");
    CHECK(place(root.items[2].items[0].place) == "5:14");
}

TEST_CASE("json: what is not JSON is refused with its place") {
    struct Row {
        const char* text;
        const char* at;
        bool mended;  ///< what was meant is plain
    };
    for (const Row& row :
         {Row{"", "1:1", false}, Row{"{\"a\": 1,}", "1:9", true}, Row{"{\n  \"a\": tru }", "2:8", true},
          Row{"{\"a\" 1}", "1:6", true}, Row{"[1, 2", "1:6", false}, Row{"{\"a\": 01}", "1:7", true},
          Row{"nan", "1:1", false}, Row{"[\"\xff\"]", "1:3", false}, Row{"[1e999]", "1:6", false},
          Row{"[\"\\ud800\"]", "1:9", false}, Row{"{\"a\": 1 \"b\": \"\xff\"}", "1:9", false},
          Row{"[1]]", "1:4", true}, Row{"[1] [2]", "1:5", false}, Row{"}", "1:1", false},
          Row{"/* [1]", "1:1", false}}) {
        const JsonReading reading = read_json(row.text, JsonComments::allowed);
        CAPTURE(row.text);
        REQUIRE(!reading.mistakes.empty());
        CHECK(reading.root.has_value() == row.mended);
        const JsonMistake& first = reading.mistakes.front();
        CHECK_MESSAGE(place(first.place) == row.at, first.message);
        for (const JsonMistake& mistake : reading.mistakes) {
            CHECK(mistake.message.find("not JSON: ") == 0);
            CHECK(mistake.message.find("json.exception") == std::string::npos);
        }
        const bool to_its_end = reading.mistakes.back().message.find("not looked at") == std::string::npos;
        CHECK_MESSAGE(to_its_end == row.mended, reading.mistakes.back().message);
    }
    CHECK(!read_json("{} // words", JsonComments::refused).root);
}

TEST_CASE("json: depth is limited") {
    CHECK(read_json(std::string(32, '[') + std::string(32, ']'), JsonComments::allowed).root);
    const JsonReading deep = read_json(std::string(200'000, '['), JsonComments::allowed);
    CHECK(!deep.root);
    REQUIRE(deep.mistakes.size() == 1);
    CHECK(deep.mistakes[0].message == "nested more than 32 deep");
}

TEST_CASE("json: pointers are escaped as RFC 6901 section 3 says") {
    // RFC 6901, section 5: the keys "a/b" and "m~n" are "/a~1b" and "/m~0n".
    CHECK(pointer_to("", "a/b") == "/a~1b");
    CHECK(pointer_to("", "m~n") == "/m~0n");
    CHECK(pointer_to("/buses", std::size_t{0}) == "/buses/0");
}

TEST_CASE("json object: all mistakes at once, each at its place") {
    const JsonNode root =
        root_of("{\"prot\": 1,\n \"name\": 5, \"on\": \"yes\", \"on\": true,\n\"list\": {}, \"colour\": 1}");
    std::vector<JsonMistake> mistakes;
    JsonObject object(root, "", kKeys, mistakes);
    std::string name = "kept";
    bool on = false;
    CHECK(!object.read("name", name, 10));
    CHECK(!object.read("on", on));
    CHECK(object.list("list", 0, 3).empty());
    CHECK(!object.has("inner"));
    CHECK(name == "kept");
    std::string all;
    for (const JsonMistake& one : mistakes)
        all += place(one.place) + " " + one.pointer + " " + one.message + "\n";
    CHECK(all ==
          "1:2 /prot is not a known key; did you mean \"port\"?\n"
          "2:26 /on is there twice; keep one\n"
          "3:13 /colour is not a known key; the keys here are \"port\", \"name\", \"on\", \"list\" or "
          "\"inner\"\n"
          "1:1 /port is missing and must be given\n"
          "2:10 /name is a number; text in quotes would be right\n"
          "2:19 /on is text; true or false would be right\n"
          "3:9 /list is an object; a list in brackets would be right\n");
}

TEST_CASE("json object: numbers must be numbers, whole where whole is meant, and in range") {
    struct Row {
        const char* text;
        bool right;
    };
    for (const Row& row :
         {Row{"{\"port\": 502}", true}, Row{"{\"port\": 5e2}", true}, Row{"{\"port\": 70000}", false},
          Row{"{\"port\": -1}", false}, Row{"{\"port\": 1.9}", false}, Row{"{\"port\": true}", false},
          Row{"{\"port\": \"502\"}", false}, Row{"{\"port\": null}", false},
          Row{"{\"port\": 18446744073709551615}", false}, Row{"{\"port\": 1e300}", false}}) {
        const JsonNode root = root_of(row.text);
        std::vector<JsonMistake> mistakes;
        JsonObject object(root, "", kKeys, mistakes);
        std::int64_t port = -7;
        CHECK_MESSAGE(object.read("port", port, {0, 65535}) == row.right, row.text);
        CHECK(mistakes.empty() == row.right);
        CHECK((port != -7) == row.right);
    }
}

TEST_CASE("json object: text has one line and a limit") {
    for (const char* text : {"{\"port\":1,\"name\":\"\"}", "{\"port\":1,\"name\":\"a\\nb\"}",
                             "{\"port\":1,\"name\":\"12345\"}"}) {
        const JsonNode root = root_of(text);
        std::vector<JsonMistake> mistakes;
        std::string name;
        CHECK(!JsonObject(root, "", kKeys, mistakes).read("name", name, 4));
        CHECK(mistakes.size() == 1);
    }
}

TEST_CASE("json object: the nearest word is offered only when it is near") {
    constexpr std::array<std::string_view, 3> kWords{"bean", "exhaust", "on_delay_s"};
    CHECK(nearest_word("baen", kWords) == "bean");
    CHECK(!nearest_word("tray", kWords));
    CHECK(nearest_word("been", kWords) == "bean");
    CHECK(nearest_word("exaust", kWords) == "exhaust");
    CHECK(nearest_word("on_delay_ms", kWords) == "on_delay_s");
    CHECK(!nearest_word("sounder", kWords));
}

TEST_CASE("json object: what a message quotes is short, printable and whole characters") {
    CHECK(quoted("a\tb") == "\"a?b\"");
    const std::string long_text = std::string(39, 'x') + "é and more";
    CHECK(quoted(long_text) == "\"" + std::string(39, 'x') + "...\"");
}
