// Stores the watches of stored_watches_test.cpp: seeded restless days. Run by hand only.
#include <cstdio>
#include <fstream>

#include "files/file_bytes.hpp"
#include "support/restless_day.hpp"
#include "watch/watch_file.hpp"

using namespace drumwatch;

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fputs("usage: store_watches FOLDER\n", stderr);
        return 2;
    }
    for (std::uint64_t seed = 101; seed <= 106; ++seed) {
        for (const Written& watch : restless_day(seed)) {
            const std::string name =
                std::to_string(seed) + "-" + std::to_string(watch.inputs.begin.watch) + ".jsonl.gz";
            const auto packed = pack_gzip(watch_file_text({watch.inputs, watch.began, watch.journal}));
            std::ofstream file(std::string(argv[1]) + "/" + name, std::ios::binary);
            if (!packed || !(file << *packed).flush()) {
                std::fprintf(stderr, "%s could not be written\n", name.c_str());
                return 1;
            }
        }
    }
    return 0;
}
