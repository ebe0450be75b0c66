// A file system that really is full: a small tmpfs where mounting is permitted.
#include <doctest/doctest.h>
#include <sys/mount.h>

#include <filesystem>
#include <fstream>

#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record_batches.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

/// A mounted tmpfs of 4 MB, or not mounted where there is no right to.
class SmallDisk {
  public:
    SmallDisk() : mounted_(mount("none", folder_.path().c_str(), "tmpfs", 0, "size=4m") == 0) {}
    ~SmallDisk() {
        if (mounted_) umount(folder_.path().c_str());
    }
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;
    bool mounted() const { return mounted_; }
    std::string file(const std::string& name) const { return folder_.file(name); }
    /// Writes until nothing more fits.
    void fill() const {
        std::ofstream ballast(file("ballast"), std::ios::binary);
        const std::string block(4096, 'x');
        while (ballast.write(block.data(), 4096).flush()) {
        }
    }

  private:
    TempDir folder_;
    bool mounted_;
};

}  // namespace

TEST_CASE("a full disk is said, old rows stay readable, and writing goes on once there is room") {
    const SmallDisk disk;
    if (!disk.mounted()) {
        MESSAGE("no right to mount a small disk here: disk_test.cpp stands for it with a failing file layer");
        return;
    }
    const std::string path = disk.file("record.db");
    auto opened = roasting_recorder(path);
    Recorder& recorder = *opened;
    CHECK(recorder.status().disk_low);  // 4 MB are little

    disk.fill();
    const auto frames = sample_roast(51, 0, 600, 250, 1);
    for (const Frame& frame : frames) recorder.append(frame);
    CHECK(!commit_command(recorder, "during"));
    CHECK(!recorder.status().writing);
    CHECK(recorder.status().complaint.find("full") != std::string::npos);
    {
        auto reader = RecordReader::open(path);
        REQUIRE_MESSAGE(reader.ok(), reader.error());
        CHECK(reader.value()->commands(1).value().size() == 1);
    }
    std::filesystem::remove(disk.file("ballast"));
    CHECK(commit_command(recorder, "after"));
    CHECK(recorder.status().writing);
    CHECK(recorder.status().frames_lost == 0);
    opened.reset();
    auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader.ok(), reader.error());
    CHECK(reader.value()->commands(1).value().size() == 3);
    CHECK(same_frames(reader.value()->frames(1, {0}, {1'000'000}).value(), frames));
}

}  // namespace drumwatch
