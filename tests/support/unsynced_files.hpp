// What a disk would hold if the power went: files and their folder's entries as synced, and apart from that
// the writes, truncations, creations and deletions since. Knows nothing of SQLite; all in memory. Any thread.
//
// The model (sqlite.org/atomiccommit.html sections 2 and 6.2, sqlite.org/psow.html): a sync of a file makes
// its content durable, the first sync of a file that was made since also the whole folder; until then each
// sector of a file may hold any of the contents it had since the sync, independently of the others; entries
// of the folder become durable in their order; bytes that nobody wrote are never harmed.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

namespace drumwatch {

/// Path: content.
using DiskImage = std::map<std::string, std::string>;

class UnsyncedFiles {
  public:
    /// A file that is new to this object is read from the disk, and counts as synced if it is not empty.
    void open(const std::string& path);
    void write(const std::string& path, std::int64_t at, const std::string& bytes);
    void truncate(const std::string& path, std::int64_t size);
    void sync(const std::string& path);
    void remove(const std::string& path, bool sync_folder);

    /// What may be left. Seed 0: nothing that was not synced; others: some of it, torn at sectors.
    DiskImage left_over(std::uint64_t seed);
    /// Writes the image out in place of all files that this object knows (and of their -shm).
    void boot(const DiskImage& image);

  private:
    struct File {
        std::string durable;
        std::vector<std::string> since;  ///< the content after each change since the sync
        bool made = false;               ///< since the folder's sync
        const std::string& newest() const { return since.empty() ? durable : since.back(); }
    };
    using Folder = std::map<std::string, std::shared_ptr<File>>;
    File& file(const std::string& path) { return *folders_.back().at(path); }
    void sync_folder();

    std::mutex mutex_;
    std::vector<Folder> folders_{Folder{}};  ///< the durable one, then one after each change of entries
};

}  // namespace drumwatch
