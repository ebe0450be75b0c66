#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include "core/result.hpp"
#include "doctor/doctor.hpp"
#include "record/disk.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kTooLittle_mb = 256;  // the daemon's own limit for "disk low"
constexpr int kWrites = 12;
constexpr double kSlow_ms = 250;  // commits come once a second while roasting: a quarter of that
constexpr double kStalls_ms = 1000;

/// A file that is gone at the end.
class ScratchFile {
  public:
    explicit ScratchFile(const std::string& folder) : path_(folder + "/.drumwatch-doctor-XXXXXX") {
        file_ = ::mkostemp(path_.data(), O_CLOEXEC);
    }
    ~ScratchFile() {
        if (file_ < 0) return;
        ::close(file_);
        ::unlink(path_.c_str());
    }
    ScratchFile(const ScratchFile&) = delete;
    ScratchFile& operator=(const ScratchFile&) = delete;
    int file() const { return file_; }

  private:
    std::string path_;
    int file_;
};

struct Speed {
    double usual_ms = 0;
    double worst_ms = 0;
};

Result<Speed> time_writes(const std::string& folder) {
    const ScratchFile scratch(folder);
    if (scratch.file() < 0) return Error{std::strerror(errno)};
    const std::array<char, 4096> page{};
    std::array<double, kWrites> took{};
    for (double& one : took) {
        const auto before = std::chrono::steady_clock::now();
        if (::write(scratch.file(), page.data(), page.size()) != static_cast<ssize_t>(page.size()) ||
            ::fdatasync(scratch.file()) != 0)
            return Error{std::strerror(errno)};
        one = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - before).count();
    }
    std::sort(took.begin(), took.end());
    return Speed{took[kWrites / 2], took.back()};
}

Finding space(const RecordConfig& record, const std::string& folder) {
    Finding finding{"disk space", FindingState::well, "", ""};
    const std::int64_t free = free_mb(folder);
    std::error_code none;
    const auto bytes = std::filesystem::file_size(record.path, none);
    const std::int64_t used = none ? 0 : static_cast<std::int64_t>(bytes / (1024 * 1024));
    finding.text = fmt::format("{} MB free where the record lies ({}), which may grow from {} to {} MB", free,
                               folder, used, record.budget_mb);
    if (free < 0) {
        finding.state = FindingState::look;
        finding.text = fmt::format("the free space of {} can't be told", folder);
    } else if (free < kTooLittle_mb) {
        finding.state = FindingState::broken;
        finding.advice = "Make room, or set record.budget_mb lower: the record will soon not be written.";
    } else if (free < record.budget_mb - used) {
        finding.state = FindingState::look;
        finding.advice = "Set record.budget_mb to what the disk can hold, or make room.";
    }
    return finding;
}

Finding speed(const std::string& folder) {
    Finding finding{"disk speed", FindingState::well, "", ""};
    const auto timed = time_writes(folder);
    if (!timed) {
        const bool rights = timed.error() == std::strerror(EACCES);
        finding.state = rights ? FindingState::look : FindingState::broken;
        finding.text = fmt::format("nothing can be written in {}: {}", folder, timed.error());
        finding.advice = rights ? "Run the doctor as the daemon's user or as root to measure it."
                                : "See whether the disk is mounted, writable and not full.";
        return finding;
    }
    finding.text =
        fmt::format("a small write is safe on the disk after {:.1f} ms, at worst {:.1f} ms ({} tries)",
                    timed.value().usual_ms, timed.value().worst_ms, kWrites);
    if (timed.value().usual_ms > kSlow_ms || timed.value().worst_ms > kStalls_ms) {
        finding.state = FindingState::look;
        finding.advice =
            "That is slow even for an SD card, which may be worn: marks are answered as late as this. Put "
            "the "
            "record on a better card or a USB disk, and keep backups.";
    }
    return finding;
}

}  // namespace

std::vector<Finding> look_at_disk(const RecordConfig& record) {
    std::string folder = std::filesystem::path(record.path).parent_path().string();
    if (folder.empty()) folder = ".";
    std::error_code error;
    if (!std::filesystem::is_directory(folder, error)) {
        return {
            {"disk space", FindingState::broken,
             fmt::format("the record's folder {} is not there{}", folder,
                         error ? ", or can't be seen by this user: " + error.message() : ""),
             "Make it and give it to the daemon's user, correct record.path, or run the doctor as root."}};
    }
    return {space(record, folder), speed(folder)};
}

}  // namespace drumwatch
