#include "unit/config/bad_rows.hpp"

#include <set>

#include "unit/config/reading.hpp"

using namespace drumwatch;

TEST_CASE(
    "config: each of some ninety usual mistakes, alone or several in one file, is said at its place, with "
    "what "
    "would be right, and nothing else") {
    std::set<std::string> seen;
    for (const BadRow& row : kBadRows) {
        CAPTURE(row.wrong);
        CHECK(seen.insert(std::string(row.right) + row.wrong).second);
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
        CHECK(said == row.says);
    }
    CHECK(seen.size() >= 90);
}
