// For LD_PRELOAD into a program under test: a folder whose disk does not answer. While a file FOLDER.stalled
// exists beside the folder that DRUMWATCH_TEST_STALLED names, whoever writes to a file in it or syncs one
// hangs, as on a worn card or a network file system that is gone; afterwards the call does its work.
#include <dlfcn.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>

namespace {

constexpr long kLook_ms = 20;

bool inside(int file) {
    static const char* const folder = std::getenv("DRUMWATCH_TEST_STALLED");
    if (folder == nullptr) return false;
    std::array<char, 64> link{};
    std::array<char, 4096> path{};
    std::snprintf(link.data(), link.size(), "/proc/self/fd/%d", file);
    const ssize_t length = ::readlink(link.data(), path.data(), path.size() - 1);
    const std::size_t known = std::strlen(folder);
    return length > 0 && std::strncmp(path.data(), folder, known) == 0 && path[known] == '/';
}

bool stalled() {
    static const char* const folder = std::getenv("DRUMWATCH_TEST_STALLED");
    std::array<char, 4096> marker{};
    std::snprintf(marker.data(), marker.size(), "%s.stalled", folder);
    return ::access(marker.data(), F_OK) == 0;
}

void hang_while_stalled(int file) {
    const int before = errno;
    if (inside(file)) {
        const timespec pause{0, kLook_ms * 1'000'000};
        while (stalled()) ::nanosleep(&pause, nullptr);
    }
    errno = before;
}

template <typename Function>
Function real(const char* name) {
    return reinterpret_cast<Function>(::dlsym(RTLD_NEXT, name));
}

}  // namespace

// The C library's own names, in its 32-bit and 64-bit spellings.
#define HANG(RESULT, NAME, PARAMETERS, ARGUMENTS)                   \
    extern "C" RESULT NAME PARAMETERS {                             \
        static const auto next = real<RESULT(*) PARAMETERS>(#NAME); \
        hang_while_stalled(file);                                   \
        return next ARGUMENTS;                                      \
    }

HANG(ssize_t, pwrite, (int file, const void* from, size_t size, off_t at), (file, from, size, at))
HANG(ssize_t, pwrite64, (int file, const void* from, size_t size, off64_t at), (file, from, size, at))
HANG(ssize_t, write, (int file, const void* from, size_t size), (file, from, size))
HANG(int, fsync, (int file), (file))
HANG(int, fdatasync, (int file), (file))
