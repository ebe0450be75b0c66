// A file that is not JSON: what is said of one slip anywhere, and that nothing else is said because of it.
#include <doctest/doctest.h>

#include <random>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "files/json_node.hpp"
#include "files/json_tokens.hpp"
#include "support/stride.hpp"
#include "unit/config/reading.hpp"

using namespace drumwatch;

namespace {

std::vector<JsonToken> pieces_of(const std::string& text) {
    std::vector<JsonToken> pieces;
    for (JsonToken piece = json_token(text, 0); piece.kind != JsonTokenKind::end;
         piece = json_token(text, piece.end()))
        pieces.push_back(piece);
    return pieces;
}

/// One mistake, and that sentence.
void says_only(const std::string& text, std::size_t byte, const char* sentence) {
    const auto mistakes = wrong(text);
    CAPTURE(text.substr(byte < 40 ? 0 : byte - 40, 80));
    std::string all;
    for (const ConfigMistake& mistake : mistakes) all += format_mistake("", mistake) + "\n";
    CAPTURE(all);
    REQUIRE(mistakes.size() == 1);
    CHECK(mistakes[0].message == std::string("not JSON: ") + sentence);
    CHECK(mistakes[0].line > 0);
}

}  // namespace

TEST_CASE("config: whichever comma or colon is left out, that alone is said") {
    const std::string full = kFullConfig;
    int left_out = 0;
    for (const JsonToken& piece : pieces_of(full)) {
        std::string text = full;
        text.erase(piece.begin, piece.text.size());
        if (piece.kind == JsonTokenKind::comma) {
            says_only(text, piece.begin, "a comma is missing before this");
        } else if (piece.kind == JsonTokenKind::colon) {
            says_only(text, piece.begin, "a colon is missing between key and value");
        } else {
            continue;
        }
        ++left_out;
    }
    CHECK(left_out > 150);
}

TEST_CASE("config: whichever comma is one too many, that alone is said") {
    const std::string full = kFullConfig;
    for (const JsonToken& piece : pieces_of(full)) {
        const bool closes =
            piece.kind == JsonTokenKind::close_object || piece.kind == JsonTokenKind::close_list;
        const bool opens = piece.kind == JsonTokenKind::open_object || piece.kind == JsonTokenKind::open_list;
        if (closes) {
            says_only(std::string(full).insert(piece.begin, ","), piece.begin,
                      "the comma before this is too much");
        } else if (opens) {
            says_only(std::string(full).insert(piece.end(), ","), piece.begin, "this comma is too much");
        } else if (piece.kind == JsonTokenKind::comma) {
            says_only(std::string(full).insert(piece.begin, ","), piece.begin, "one comma is enough");
        }
    }
}

TEST_CASE("config: whichever text or key stands in other quotes or in none, it is taken as it is meant") {
    const std::string full = kFullConfig;
    for (const JsonToken& piece : pieces_of(full)) {
        if (piece.kind != JsonTokenKind::text || piece.text == R"("none stated")") continue;
        const std::string inside(piece.text.substr(1, piece.text.size() - 2));
        std::string single = full;
        single.replace(piece.begin, piece.text.size(), "'" + inside + "'");
        says_only(single, piece.begin, "text and keys stand in double quotes");
        if (inside.find_first_not_of("abcdefghijklmnopqrstuvwxyz_") != std::string::npos) continue;
        std::string bare = full;
        bare.replace(piece.begin, piece.text.size(), inside);
        const bool is_key = json_token(full, piece.end()).kind == JsonTokenKind::colon;
        says_only(bare, piece.begin,
                  is_key ? "a key stands in double quotes" : "text stands in double quotes");
    }
}

TEST_CASE("config: whichever value is left out, nothing but that is said of it") {
    const std::string full = kFullConfig;
    const auto pieces = pieces_of(full);
    int left_out = 0;
    for (std::size_t i = 1; i < pieces.size(); ++i) {
        const bool scalar = pieces[i].kind == JsonTokenKind::text || pieces[i].kind == JsonTokenKind::word;
        if (pieces[i - 1].kind != JsonTokenKind::colon || !scalar) continue;
        std::string text = full;
        text.erase(pieces[i].begin, pieces[i].text.size());
        const auto mistakes = wrong(text);
        int of_it = 0;
        for (const ConfigMistake& mistake : mistakes)
            of_it += mistake.message == "not JSON: a value is missing before this" ? 1 : 0;
        CHECK(of_it == 1);
        for (const ConfigMistake& mistake : mistakes) CHECK_FALSE(has(mistake.message, "is null"));
        ++left_out;
    }
    CHECK(left_out > 80);
}

TEST_CASE("config: wherever the file breaks off, it is said that the rest was not looked at") {
    const std::string full = kFullConfig;
    for (std::size_t bytes = 1; bytes < full.size(); bytes += kStride) {
        const auto mistakes = wrong(full.substr(0, bytes));
        REQUIRE_FALSE(mistakes.empty());
        CHECK_MESSAGE(has(mistakes.back().message, "not looked at"), mistakes.back().message);
    }
}

TEST_CASE("config: of a file that is another kind of file not thousands of mistakes are said") {
    std::mt19937 random(20);  // mt19937's numbers are the standard's own, the same everywhere
    for (int turn = 0; turn < 200; ++turn) {
        std::string text = "{";
        for (int i = 0; i < 3000; ++i) text += "{}[]:,;=\"'# a1.\n\\/"[random() % 19];
        CHECK(wrong(text).size() <= 60);
    }
    std::string stones = "{\"station\": [";
    for (int i = 0; i < 100'000; ++i) stones += "# ,;\n";
    const auto mistakes = wrong(stones);
    CHECK(mistakes.size() == 51);
    CHECK(has(mistakes.back().message, "too many mistakes"));
}

TEST_CASE("json: the mended tree has its places in what the person wrote") {
    const JsonReading reading =
        read_json("{a: 'é', # words\n  \"b\" 0,5; \"c\": [1 2,]}", JsonComments::allowed);
    REQUIRE(reading.root);
    REQUIRE(reading.root->items.size() == 3);
    const JsonNode& b = reading.root->items[1];
    CHECK(reading.root->items[0].text == "é");
    CHECK(reading.root->items[0].place.column == 5);
    CHECK(b.number == 0.5);
    CHECK(b.key_place.line == 2);
    CHECK(b.key_place.column == 3);
    CHECK(b.place.column == 7);
    const JsonNode& c = reading.root->items[2];
    REQUIRE(c.items.size() == 2);
    CHECK(c.items[1].place.column == 20);
    CHECK(reading.mistakes.size() == 8);
}
