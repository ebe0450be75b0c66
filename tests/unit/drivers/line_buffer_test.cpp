#include "drivers/links/line_buffer.hpp"

#include <doctest/doctest.h>

using drumwatch::LineBuffer;

TEST_CASE("the newest complete line is given once") {
    LineBuffer lines;
    lines.take("7.4,1\r\n188.0,2\r\n189.0,");
    CHECK(lines.newest() == "188.0,2");  // what came first may have been the tail of 187.4
    CHECK(lines.newest() == std::nullopt);
    lines.take("3\n\n\r");
    CHECK(lines.newest() == "189.0,3");
    CHECK(!lines.has_line());
}

TEST_CASE("the same lines come out however the stream is cut") {
    const std::string stream = "x\n1,2\r3,4\r\n5,6\n";
    for (std::size_t cut = 0; cut <= stream.size(); ++cut) {
        LineBuffer lines;
        lines.take(std::string_view(stream).substr(0, cut));
        lines.take(std::string_view(stream).substr(cut));
        CHECK(lines.newest() == "5,6");
    }
}

TEST_CASE("a line without an end is thrown away and the next one is read") {
    LineBuffer lines;
    lines.take("\n" + std::string(LineBuffer::kMaxLine, '8') + "\n");
    CHECK(lines.newest()->size() == LineBuffer::kMaxLine);
    lines.take(std::string(1'000'000, '8'));
    CHECK(lines.overlong() == 1);
    CHECK(!lines.has_line());
    lines.take("88\n9\n");
    CHECK(lines.newest() == "9");
}
