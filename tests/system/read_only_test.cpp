// The record's file system turns read-only in the middle of a roast: watching goes on, the person is told,
// and what is on the disk stays whole. Scaled and not stepped: the record commits once a second of real time,
// and stepped time would outrun what the queue keeps. A deadline only stops a hang.
#include <doctest/doctest.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "station.hpp"
#include "tablet.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

constexpr auto kHang = 120s;
constexpr int kTicks = 60;  // that the daemon must go on with the record failing: 15 s of the roast

StationPlan plan_with(const std::string& record_folder) {
    StationPlan plan;
    plan.simulator = {"--seed", "11"};
    plan.stepped = false;
    plan.speed = 12;
    plan.record_folder = record_folder;
    return plan;
}

/// With the record failing: it is said, and everything else goes on.
void check_failing(const Tablet& tablet) {
    const json failing = tablet.until("the alarm", [](const json& now) {
        for (const json& alarm : now["alarms"])
            if (alarm["rule"] == "record_failing") return true;
        return false;
    });
    CHECK(failing["record"]["writing"] == false);
    CHECK_FALSE(failing["roast"].is_null());
    const RawResponse marked = tablet.silence("while failing");
    CHECK(marked.status == 202);
    CHECK(json::parse(marked.body)["recorded"] == false);
    CHECK(tablet.get("/").status == 200);
    CHECK(tablet.get("/api/roasts").status == 200);
    const auto first = failing["sequence"].get<std::int64_t>();
    const json later =
        tablet.until("more ticks", [&](const json& now) { return now["sequence"] >= first + kTicks; });
    CHECK(later["channels"]["bean"]["quality"] == "good");
    CHECK(later["channels"]["bean"]["value"] != failing["channels"]["bean"]["value"]);
}

int times_recorded(const std::string& path, const std::string& client_id) {
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader, reader.error());
    int times = 0;
    for (std::uint64_t watch = 1; reader.value()->watch(watch).value(); ++watch) {
        const auto rows = reader.value()->commands(watch).value();
        for (const CommandRow& row : rows) times += row.client_id == client_id ? 1 : 0;
    }
    return times;
}

void check_whole(const std::string& path) {
    const Finished verified = run_program({DRUMWATCH_DAEMON, "verify", path}, kHang);
    CHECK_MESSAGE(verified.status == 0, verified.output, verified.errors);
}

/// An ext4 of its own in a file, mounted with errors=remount-ro as installers set it for the root; not
/// mounted where there is no right or no loop device.
class OwnDisk {
  public:
    OwnDisk() {
        fs::create_directory(path());
        std::ofstream(image()).close();
        fs::resize_file(image(), 32 << 20);
        made_ = run({"mkfs.ext4", "-q", "-F", image()}) && mount() && access(trial().c_str(), W_OK) == 0;
    }
    ~OwnDisk() { (void)umount2(path().c_str(), MNT_DETACH); }
    OwnDisk(const OwnDisk&) = delete;
    OwnDisk& operator=(const OwnDisk&) = delete;

    std::string path() const { return folder_.file("disk"); }
    /// The kernel finds an error in the file system, as on a worn card.
    void strike() const { REQUIRE((std::ofstream(trial()) << "1" << std::flush).good()); }
    /// As a person does it: off, checked and mended, on again.
    void mend() const {
        REQUIRE(umount(path().c_str()) == 0);
        run({"e2fsck", "-p", "-f", image()});
        REQUIRE(mount());
    }
    bool made() const { return made_; }

  private:
    /// Where ext4 can be told to find an error; empty without a mounted one.
    std::string trial() const {
        struct stat about {};
        if (stat(path().c_str(), &about) != 0) return {};
        const std::string number =
            std::to_string(major(about.st_dev)) + ":" + std::to_string(minor(about.st_dev));
        std::error_code failed;
        const fs::path device = fs::read_symlink("/sys/dev/block/" + number, failed).filename();
        return "/sys/fs/ext4/" + device.string() + "/trigger_fs_error";
    }
    std::string image() const { return folder_.file("image"); }
    bool mount() const { return run({"mount", "-o", "loop,errors=remount-ro", image(), path()}); }
    static bool run(const std::vector<std::string>& command) {
        try {
            return run_program(command, kHang).status == 0;
        } catch (const std::exception&) {
            return false;  // not installed
        }
    }
    TempDir folder_;
    bool made_ = false;
};

}  // namespace

TEST_CASE("a read-only spell in a roast: the page says so, and all of it is recorded once it is over") {
    const TempDir folder;
    const std::string disk = folder.file("disk");
    const std::string marker = disk + ".read-only";
    fs::create_directory(disk);
    StationPlan plan = plan_with(disk);
    plan.daemon_environment = {std::string("LD_PRELOAD=") + READ_ONLY_CALLS,
                               "DRUMWATCH_TEST_READ_ONLY=" + disk, "ASAN_OPTIONS=verify_asan_link_order=0"};
    StationRun station(plan);
    const Tablet tablet(station);
    station.await_truth("charge", "\"batch\":1");
    tablet.until("the roast", [](const json& now) { return !now["roast"].is_null(); });
    CHECK(tablet.silence("before").status == 200);
    std::ofstream(marker).close();
    check_failing(tablet);
    fs::remove(marker);
    tablet.until("writing again", [](const json& now) { return now["record"]["writing"] == true; });
    CHECK(tablet.silence("after").status == 200);
    station.stop();  // and every watch runs again to its journal
    check_whole(station.record_path());
    for (const char* id : {"before", "while failing", "after"}) {
        CHECK_MESSAGE(times_recorded(station.record_path(), id) == 1, id);
    }
    const auto frames = station.frames();
    REQUIRE(frames.size() > kTicks);
    for (std::size_t i = 1; i < frames.size(); ++i) REQUIRE(frames[i].tick - frames[i - 1].tick == 250);
}

TEST_CASE("ext4 turns read-only by itself in a roast: watched on, and gone on with once it is mended") {
    const OwnDisk disk;
    if (!disk.made()) {
        MESSAGE("no right to mount an ext4 here: the read-only spell above stands for it");
        return;
    }
    StationRun station(plan_with(disk.path()));
    const Tablet tablet(station);
    station.await_truth("charge", "\"batch\":1");
    tablet.until("the roast", [](const json& now) { return !now["roast"].is_null(); });
    CHECK(tablet.silence("before").status == 200);
    sync();  // so that mapped pages are clean, and a write to them would ask the file system
    disk.strike();
    check_failing(tablet);
    const std::string said = station.stop_and_restart([&] { disk.mend(); });
    CHECK_MESSAGE(said.find("roast 1 in the drum goes on after a gap") != std::string::npos, said);
    tablet.until("a tick", [](const json&) { return true; });
    CHECK(tablet.silence("after").status == 200);
    station.stop();
    check_whole(station.record_path());
    CHECK(times_recorded(station.record_path(), "before") == 1);
    CHECK(times_recorded(station.record_path(), "while failing") == 0);  // 202: it was never promised
    CHECK(times_recorded(station.record_path(), "after") == 1);
}
