// Roast files of one made site, batch after batch, for backtests.
#pragma once

#include <fstream>
#include <string>
#include <vector>

#include "files/roast_csv.hpp"
#include "files/target_json.hpp"
#include "support/made_roasts/batch.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {

struct MadeFiles {
    TempDir folder;
    Site site;
    std::vector<std::string> paths;
    std::string target;  ///< path

    MadeFiles(std::uint64_t seed, int batches) : site(made_site(seed)), target(folder.file("target.json")) {
        write(target, write_target(site.target));
        for (int number = 0; number < batches; ++number) {
            const RoastFile file = made_batch(site, plan_of(site, seed, number)).file;
            paths.push_back(folder.file("roast-" + std::to_string(100 + number) + ".csv"));
            write(paths.back(), write_roast_csv(file));
        }
    }
    static void write(const std::string& path, const std::string& text) {
        std::ofstream(path, std::ios::binary) << text;
    }
};

}  // namespace drumwatch
