#include "record/disk.hpp"

#include <sys/statvfs.h>

namespace drumwatch {

std::int64_t free_mb(const std::string& path) {
    struct statvfs info {};
    if (statvfs(path.c_str(), &info) != 0) return -1;
    constexpr std::uint64_t kMebibyte = 1024 * 1024;
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(info.f_bavail) * info.f_frsize / kMebibyte);
}

}  // namespace drumwatch
