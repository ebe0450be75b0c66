#include "record/damage.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <chrono>
#include <condition_variable>
#include <filesystem>
#include <fstream>
#include <mutex>
#include <thread>

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr std::chrono::seconds kCheckLimit{10};
constexpr const char* kMark = ".suspect";

/// Interrupts the connection after a time. A thread, since SQLite's check is one step of its machine: a
/// progress handler is not asked before its end.
class Interrupter {
  public:
    explicit Interrupter(sqlite3* handle) : thread_([this, handle] { wait(handle); }) {}
    ~Interrupter() {
        if (thread_.joinable()) stop();
    }
    Interrupter(const Interrupter&) = delete;
    Interrupter& operator=(const Interrupter&) = delete;

    /// True: it struck.
    bool stop() {
        {
            const std::lock_guard lock(mutex_);
            done_ = true;
        }
        wake_.notify_one();
        thread_.join();
        return struck_;
    }

  private:
    void wait(sqlite3* handle) {
        std::unique_lock lock(mutex_);
        if (wake_.wait_for(lock, kCheckLimit, [this] { return done_; })) return;
        struck_ = true;
        sqlite3_interrupt(handle);
    }

    std::mutex mutex_;
    std::condition_variable wake_;
    bool done_ = false;
    bool struck_ = false;
    std::thread thread_;  // last: it uses the others
};

}  // namespace

std::string damage_of(Database& database, DamageCheck check) {
    const bool thorough = check == DamageCheck::thorough;
    Interrupter interrupter(database.handle());
    const auto found = database.text(thorough ? "PRAGMA integrity_check(1)" : "PRAGMA quick_check(1)");
    const bool damaged = !found && database.error_kind() == DatabaseError::damaged;
    // What an interrupted check says of pages that it never came to means nothing.
    if (interrupter.stop()) return thorough ? "it could not be looked at to its end" : "";
    if (found) return found.value() == "ok" ? std::string{} : found.value();
    return damaged ? found.error() : std::string{};
}

void mark_damaged(const std::string& path, bool damaged) {
    std::error_code failed;
    if (damaged) {
        std::ofstream(path + kMark).flush();
    } else {
        fs::remove(path + kMark, failed);
    }
}

bool marked_damaged(const std::string& path) {
    std::error_code failed;
    return fs::exists(path + kMark, failed);
}

Result<std::string> set_aside(const std::string& path) {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    const std::string aside =
        fmt::format("{}.damaged-{}", path, std::chrono::duration_cast<std::chrono::seconds>(now).count());
    for (const char* tail : {"-wal", "-journal", "-shm", kMark, ""}) {
        std::error_code failed;
        if (!fs::exists(path + tail, failed)) continue;
        fs::rename(path + tail, aside + tail, failed);
        if (failed) {
            return Error{
                fmt::format("{} is damaged and can't be set aside ({}): move it away with its -wal and -shm "
                            "files",
                            path, failed.message())};
        }
    }
    return fmt::format("{} is damaged: it was set aside as {} and a new record begins", path, aside);
}

}  // namespace drumwatch
