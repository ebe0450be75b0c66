#pragma once

#include <string>

namespace drumwatch {

/// Writes a whole file, or standard output where `path` is empty. An exit code (commands.hpp): something
/// other than kDone has been said.
int write_out(const std::string& path, const std::string& text);

}  // namespace drumwatch
