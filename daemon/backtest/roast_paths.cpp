#include <algorithm>
#include <filesystem>

#include "backtest/backtest.hpp"

namespace drumwatch {

namespace {

namespace fs = std::filesystem;

bool is_roast(const std::string& name) { return name.ends_with(".csv") || name.ends_with(".csv.gz"); }

std::vector<std::string> in_folder(const std::string& folder, std::error_code& error) {
    std::vector<std::string> names;
    for (fs::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error)) {
        std::error_code unknown;
        const std::string name = entry->path().filename().string();
        if (is_roast(name) && !entry->is_directory(unknown)) names.push_back(name);
    }
    std::sort(names.begin(), names.end());
    return names;
}

void add_folder(const std::string& folder, RoastPaths& found) {
    std::error_code error;
    const auto names = in_folder(folder, error);
    if (error) {
        found.complaints.push_back(folder + ": the folder can't be read: " + error.message());
    } else if (names.empty()) {
        found.complaints.push_back(folder + ": there is no .csv or .csv.gz file in this folder");
    }
    const std::string stem = folder.ends_with('/') ? folder : folder + "/";
    for (const std::string& name : names) found.paths.push_back(stem + name);
}

}  // namespace

RoastPaths roast_paths(const std::vector<std::string>& given) {
    RoastPaths found;
    for (const std::string& path : given) {
        std::error_code unknown;
        if (fs::is_directory(path, unknown)) {
            add_folder(path, found);
        } else {
            found.paths.push_back(path);
        }
    }
    return found;
}

}  // namespace drumwatch
