#include "unit/config/bad_rows.hpp"

#include <set>
#include <span>

#include "unit/config/good_rows.hpp"
#include "unit/config/reading.hpp"
#include "unit/config/slip_rows.hpp"

using namespace drumwatch;

namespace {

std::string all_said(const BadRow& row) {
    std::string text = kFullConfig;
    const std::size_t at = text.find(row.right);
    REQUIRE(at != std::string::npos);
    text.replace(at, std::string(row.right).size(), row.wrong);
    std::string said;
    for (const ConfigMistake& mistake : wrong(text)) {
        const std::string line = format_mistake("", mistake);
        if (has(line, "/targets/")) continue;  // files that this machine has not
        said += (said.empty() ? "" : "\n") + line.substr(1);
    }
    return said;
}

void check_rows(std::span<const BadRow> rows) {
    std::set<std::string> seen;
    for (const BadRow& row : rows) {
        CAPTURE(row.wrong);
        CHECK(seen.insert(std::string(row.right) + row.wrong).second);
        CHECK(all_said(row) == row.says);
    }
}

}  // namespace

TEST_CASE("config: each usual mistake is said at its place, with what would be right, and nothing else") {
    CHECK(std::size(kBadRows) >= 90);
    check_rows(kBadRows);
}

TEST_CASE("config: slips that are not JSON, alone or several with wrong values in one file, are all said") {
    CHECK(std::size(kSlipRows) >= 30);
    check_rows(kSlipRows);
}

TEST_CASE("config: other ways to say it that are right are taken") {
    for (const GoodRow& row : kGoodRows) {
        CAPTURE(row.other);
        std::string text = kFullConfig;
        const std::size_t at = text.find(row.one);
        REQUIRE(at != std::string::npos);
        right(text.replace(at, std::string(row.one).size(), row.other));
    }
}
