// Watches stored as files, run again by this build: release, sanitizers and another compiler must give the
// journal that was stored, byte for byte. `build/release/bin/store_watches tests/rerun/watches` stores them
// anew, deliberately, with a `Behaviour:` line in the commit that says why.
#include <doctest/doctest.h>

#include <filesystem>

#include "files/file_bytes.hpp"
#include "watch/journal.hpp"
#include "watch/watch_file.hpp"

using namespace drumwatch;

namespace {

std::vector<std::string> names() {
    std::vector<std::string> found;
    for (const auto& entry : std::filesystem::directory_iterator(DRUMWATCH_WATCHES))
        found.push_back(entry.path().string());
    return found;
}

WatchFile stored(const std::string& path) {
    const auto bytes = read_file_bytes(path, std::size_t{64} << 20);
    REQUIRE_MESSAGE(bytes, (bytes ? "" : bytes.error()));
    const auto text = unpack_gzip(bytes.value(), std::size_t{256} << 20);
    REQUIRE_MESSAGE(text, (text ? "" : text.error()));
    auto file = parse_watch_file(text.value());
    REQUIRE_MESSAGE(file, (file ? "" : file.error()));
    return std::move(file.value());
}

}  // namespace

TEST_CASE("every stored watch gives its stored journal again") {
    std::size_t lines = 0;
    const auto files = names();
    for (const std::string& name : files) {
        CAPTURE(name);
        const WatchFile file = stored(name);
        std::size_t at = 0;
        refeed(file.watch, [&](const Snapshot&, const std::vector<Event>& events) {
            for (const Event& event : events) {
                REQUIRE(at < file.journal.size());
                REQUIRE(journal_line(journal_entry(event)) == file.journal[at++]);
            }
        });
        REQUIRE(at == file.journal.size());
        lines += at;
    }
    CHECK(files.size() >= 10);
    CHECK(lines > 500);
}
