#include "support/unsynced_files.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "support/random.hpp"

namespace drumwatch {
namespace {

std::string content(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream out;
    out << file.rdbuf();
    return out.str();
}

/// Each sector as it was at some time since the sync, and so the length.
std::string torn(const std::string& durable, const std::vector<std::string>& since, TestRandom& random) {
    const std::size_t sector = random.below(2) == 0 ? 512 : 4096;
    const auto some = [&]() -> const std::string& {
        const std::size_t which = random.below(since.size() + 1);
        return which == 0 ? durable : since[which - 1];
    };
    std::string out(some().size(), '\0');
    for (std::size_t at = 0; at < out.size(); at += sector) {
        const std::string& from = some();
        if (at >= from.size()) continue;  // zeros: a hole
        const std::size_t size = std::min({sector, from.size() - at, out.size() - at});
        out.replace(at, size, from, at, size);
    }
    return out;
}

}  // namespace

void UnsyncedFiles::open(const std::string& path) {
    const std::lock_guard lock(mutex_);
    if (folders_.back().count(path) != 0) return;
    auto file = std::make_shared<File>();
    file->durable = content(path);
    file->made = file->durable.empty();
    Folder with = folders_.back();
    with[path] = file;
    if (file->made) {
        folders_.push_back(std::move(with));
    } else {
        for (Folder& folder : folders_) folder[path] = file;
    }
}

void UnsyncedFiles::write(const std::string& path, std::int64_t at, const std::string& bytes) {
    const std::lock_guard lock(mutex_);
    File& to = file(path);
    std::string after = to.newest();
    const auto from = static_cast<std::size_t>(at);
    if (after.size() < from + bytes.size()) after.resize(from + bytes.size());
    after.replace(from, bytes.size(), bytes);
    to.since.push_back(std::move(after));
}

void UnsyncedFiles::truncate(const std::string& path, std::int64_t size) {
    const std::lock_guard lock(mutex_);
    File& of = file(path);
    std::string after = of.newest();
    after.resize(static_cast<std::size_t>(size));
    of.since.push_back(std::move(after));
}

void UnsyncedFiles::sync(const std::string& path) {
    const std::lock_guard lock(mutex_);
    File& of = file(path);
    if (!of.since.empty()) of.durable = std::move(of.since.back());
    of.since.clear();
    if (of.made) sync_folder();
}

void UnsyncedFiles::remove(const std::string& path, bool sync_too) {
    const std::lock_guard lock(mutex_);
    Folder without = folders_.back();
    without.erase(path);
    folders_.push_back(std::move(without));
    if (sync_too) sync_folder();
}

void UnsyncedFiles::sync_folder() {
    folders_ = {folders_.back()};
    for (auto& [path, file] : folders_.back()) file->made = false;
}

DiskImage UnsyncedFiles::left_over(std::uint64_t seed) {
    const std::lock_guard lock(mutex_);
    TestRandom random(seed);
    DiskImage image;
    const std::size_t entries = seed == 0 ? 0 : random.below(folders_.size());
    for (const auto& [path, file] : folders_[entries]) {
        image[path] = seed == 0 ? file->durable : torn(file->durable, file->since, random);
    }
    return image;
}

void UnsyncedFiles::boot(const DiskImage& image) {
    const std::lock_guard lock(mutex_);
    for (const Folder& folder : folders_) {
        for (const auto& [path, file] : folder) {
            std::filesystem::remove(path);
            std::filesystem::remove(path + "-shm");
        }
    }
    folders_ = {Folder{}};
    for (const auto& [path, bytes] : image) {
        std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
        auto file = std::make_shared<File>();
        file->durable = bytes;
        folders_.back()[path] = file;
    }
}

}  // namespace drumwatch
