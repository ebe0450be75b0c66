#include "record/lock_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

namespace drumwatch {
namespace {

std::string holder(int file) {
    std::array<char, 32> text{};
    const ssize_t size = pread(file, text.data(), text.size() - 1, 0);
    return size > 0 ? fmt::format(" (process {})", std::string(text.data(), static_cast<std::size_t>(size)))
                    : "";
}

}  // namespace

Result<LockFile> LockFile::take(const std::string& record_path) {
    const std::string path = record_path + ".lock";
    const int file = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640);
    if (file < 0) {
        return Error{
            fmt::format("{} can't be written ({}): give the daemon's user the right to write there, or "
                        "choose another path for the record",
                        path, std::strerror(errno))};
    }
    LockFile lock(file);
    if (flock(file, LOCK_EX | LOCK_NB) != 0) {
        return Error{
            fmt::format("another daemon{} keeps its record in {}: stop it, or give this one another path",
                        holder(file), record_path)};
    }
    // Who holds it is a help for a person; that it can't be written (full disk) does no harm.
    const std::string process = std::to_string(getpid());
    if (ftruncate(file, 0) == 0) (void)!pwrite(file, process.data(), process.size(), 0);
    return lock;
}

LockFile::~LockFile() {
    if (file_ >= 0) ::close(file_);
}

}  // namespace drumwatch
