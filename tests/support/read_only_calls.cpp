// For LD_PRELOAD into a program under test: a folder whose file system turns read-only while its files are
// open, and writable again. While a file FOLDER.read-only exists beside the folder that
// DRUMWATCH_TEST_READ_ONLY names, the calls that change something in it answer EROFS, as path_resolution(7),
// open(2) and unlink(2) say; a sync succeeds and mapped pages stay, as on such a file system. It stands for
// what the kernel gives no way to: a remount is refused (EBUSY) while files are open for writing, and ext4
// does not come back from errors=remount-ro under those who have it open.
#include <dlfcn.h>
#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace {

const char* folder() {
    static const char* const path = std::getenv("DRUMWATCH_TEST_READ_ONLY");
    return path;
}

bool turned() {
    if (folder() == nullptr) return false;
    std::array<char, 4096> marker{};
    std::snprintf(marker.data(), marker.size(), "%s.read-only", folder());
    const int before = errno;
    const bool there = ::access(marker.data(), F_OK) == 0;
    errno = before;
    return there;
}

bool inside(const char* path) {
    return folder() != nullptr && std::strncmp(path, folder(), std::strlen(folder())) == 0 &&
           path[std::strlen(folder())] == '/';
}

bool refuse(const char* path) {
    if (!inside(path) || !turned()) return false;
    errno = EROFS;
    return true;
}

bool refuse(int file) {
    if (folder() == nullptr) return false;
    std::array<char, 64> link{};
    std::array<char, 4096> path{};
    std::snprintf(link.data(), link.size(), "/proc/self/fd/%d", file);
    const int before = errno;
    const ssize_t length = ::readlink(link.data(), path.data(), path.size() - 1);
    errno = before;
    return length > 0 && refuse(path.data());
}

template <typename Function>
Function real(const char* name) {
    return reinterpret_cast<Function>(::dlsym(RTLD_NEXT, name));
}

constexpr int kWrites = O_WRONLY | O_RDWR | O_CREAT | O_TRUNC;

}  // namespace

// The C library's own names, in its 32-bit and 64-bit spellings; which ones a program uses is its build's
// affair.
#define OPEN(NAME)                                                            \
    extern "C" int NAME(const char* path, int flags, ...) {                   \
        static const auto next = real<int (*)(const char*, int, ...)>(#NAME); \
        va_list more;                                                         \
        va_start(more, flags);                                                \
        const auto mode = va_arg(more, mode_t);                               \
        va_end(more);                                                         \
        if ((flags & kWrites) != 0 && refuse(path)) return -1;                \
        return next(path, flags, mode);                                       \
    }
#define CHANGE(RESULT, NAME, OF, PARAMETERS, ARGUMENTS)             \
    extern "C" RESULT NAME PARAMETERS {                             \
        static const auto next = real<RESULT(*) PARAMETERS>(#NAME); \
        return refuse(OF) ? RESULT{-1} : next ARGUMENTS;            \
    }

OPEN(open)
OPEN(open64)
CHANGE(ssize_t, pwrite, file, (int file, const void* from, size_t size, off_t at), (file, from, size, at))
CHANGE(ssize_t, pwrite64, file, (int file, const void* from, size_t size, off64_t at), (file, from, size, at))
CHANGE(ssize_t, write, file, (int file, const void* from, size_t size), (file, from, size))
CHANGE(int, ftruncate, file, (int file, off_t size) noexcept, (file, size))
CHANGE(int, ftruncate64, file, (int file, off64_t size) noexcept, (file, size))
CHANGE(int, unlink, path, (const char* path) noexcept, (path))
CHANGE(int, rename, from, (const char* from, const char* to) noexcept, (from, to))
