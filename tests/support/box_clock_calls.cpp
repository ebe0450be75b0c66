// For LD_PRELOAD into a program under test: a box whose wall clock, time server and boot are what the test
// says. The file that DRUMWATCH_TEST_CLOCK names holds three words: milliseconds that the wall clock is ahead
// (negative: behind), 1 if a time server is followed or 0, and the kernel's id of this boot, or "hidden"
// where a sandbox shows none. It is read at each call, so that the clock can be set while the program runs.
// The steady clock stays as it is: clock_gettime(2) says that setting the wall clock moves CLOCK_REALTIME
// only.
#include <dlfcn.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <sys/timex.h>
#include <time.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace {

template <typename Function>
Function real(const char* name) {
    return reinterpret_cast<Function>(::dlsym(RTLD_NEXT, name));
}

using Open = FILE* (*)(const char*, const char*);
FILE* really_open(const char* path, const char* mode) {
    static const auto next = real<Open>("fopen");
    return next(path, mode);
}

struct BoxClock {
    long long ahead_ms = 0;
    int synchronised = 0;
    char boot[64] = "";
};

const char* told_by() {
    static const char* const path = std::getenv("DRUMWATCH_TEST_CLOCK");
    return path;
}

/// The test replaces the file by renaming another over it, so that it is always whole.
BoxClock box_clock() {
    BoxClock clock;
    FILE* const file = told_by() == nullptr ? nullptr : really_open(told_by(), "r");
    if (file == nullptr) return clock;
    if (std::fscanf(file, "%lld %d %63s", &clock.ahead_ms, &clock.synchronised, clock.boot) != 3) clock = {};
    std::fclose(file);
    return clock;
}

constexpr long long kMs = 1'000'000;
constexpr long long kSecond = 1'000'000'000;

FILE* boot_or_other(const char* path, const char* mode) {
    if (told_by() == nullptr || std::strcmp(path, "/proc/sys/kernel/random/boot_id") != 0)
        return really_open(path, mode);
    const BoxClock clock = box_clock();
    if (std::strcmp(clock.boot, "hidden") == 0) {
        errno = ENOENT;
        return nullptr;
    }
    FILE* const file = std::tmpfile();
    if (file == nullptr) return nullptr;
    std::fprintf(file, "%s\n", clock.boot);
    std::rewind(file);
    return file;
}

}  // namespace

extern "C" int clock_gettime(clockid_t which, timespec* now) noexcept {
    // Not by dlsym: a sanitizer's allocator asks for the time while dlsym allocates.
    const int done = static_cast<int>(::syscall(SYS_clock_gettime, which, now));
    if (done != 0 || (which != CLOCK_REALTIME && which != CLOCK_REALTIME_COARSE)) return done;
    const long long shifted = now->tv_sec * kSecond + now->tv_nsec + box_clock().ahead_ms * kMs;
    now->tv_sec = static_cast<time_t>(shifted / kSecond);
    now->tv_nsec = static_cast<long>(shifted % kSecond);
    return done;
}

extern "C" int gettimeofday(timeval* __restrict now, void* __restrict) noexcept {
    timespec precise{};
    const int done = clock_gettime(CLOCK_REALTIME, &precise);
    now->tv_sec = precise.tv_sec;
    now->tv_usec = precise.tv_nsec / 1000;
    return done;
}

extern "C" time_t time(time_t* out) noexcept {
    timespec now{};
    clock_gettime(CLOCK_REALTIME, &now);
    if (out != nullptr) *out = now.tv_sec;
    return now.tv_sec;
}

extern "C" int adjtimex(timex* state) noexcept {
    static const auto next = real<int (*)(timex*)>("adjtimex");
    const int done = next(state);
    state->status = box_clock().synchronised == 1 ? state->status & ~STA_UNSYNC : state->status | STA_UNSYNC;
    return done < 0 ? 0 : done;
}

extern "C" FILE* fopen(const char* path, const char* mode) { return boot_or_other(path, mode); }
extern "C" FILE* fopen64(const char* path, const char* mode) { return boot_or_other(path, mode); }
