// The rows of a small reference CSV (no quotes, one header row), as text.
#pragma once

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace drumwatch {

using CsvRow = std::vector<std::string>;

/// Without the header; throws when the file is missing or has no rows, so that a test of nothing fails.
inline std::vector<CsvRow> csv_rows(const std::string& path) {
    std::ifstream file(path);
    std::vector<CsvRow> rows;
    std::string line;
    std::getline(file, line);
    while (std::getline(file, line)) {
        if (line.ends_with('\r')) line.pop_back();
        CsvRow row;
        std::istringstream cells(line);
        for (std::string cell; std::getline(cells, cell, ',');) row.push_back(cell);
        rows.push_back(std::move(row));
    }
    if (rows.empty()) throw std::runtime_error("no rows in " + path);
    return rows;
}

}  // namespace drumwatch
