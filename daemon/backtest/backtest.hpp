// Many roasts of one coffee on one machine, in order, through the very engine that watches: each file is run
// again with what the files before it taught and nothing else, so that the figures are those of somebody who
// stood there and could not look ahead. A file's marks count when their row is reached, and teach when the
// file ends.
//
// Threads: files are read ahead on a second one, reports and figures made on a third, always in order: the
// same files give the same bytes. Failure: a file that can't be read is told and counted, the rest goes on.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "backtest/summary.hpp"
#include "rerun/rerun.hpp"

namespace drumwatch {

/// The roast files that are meant: a folder stands for the .csv and .csv.gz files in it, in the order of
/// their names' bytes, not of folders in it; anything else for itself. `complaints` name a folder that can't
/// be read or holds no roast.
struct RoastPaths {
    std::vector<std::string> paths;
    std::vector<std::string> complaints;
};
RoastPaths roast_paths(const std::vector<std::string>& given);

struct BacktestOptions {
    RerunOptions rerun;  ///< its lessons are those to begin with
    bool reports = false;
};

/// What is said of one file, in the order given.
struct BacktestFile {
    std::string path;
    std::string error;  ///< a sentence that names the file, where it could not be read
    std::vector<std::string> warnings;
    bool charged = false;
    std::string report;  ///< report_json(), where asked for
};

/// `each` is called on the calling thread, file by file.
BacktestSummary backtest(const std::vector<std::string>& paths, const BacktestOptions& options,
                         const std::function<void(const BacktestFile&)>& each);

}  // namespace drumwatch
