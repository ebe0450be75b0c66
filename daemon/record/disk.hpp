// Free space of the file system that holds a path. Thread: any.
#pragma once

#include <cstdint>
#include <string>

namespace drumwatch {

/// What an ordinary user may still write, in MB of 1024 * 1024 bytes; -1 where it can't be told.
std::int64_t free_mb(const std::string& path);

}  // namespace drumwatch
