// What the record costs: how long a start with 20,000 roasts takes beside one with ten, and how many bytes a
// roast and a year take, and how long verify and backup take. Run by hand; prints figures and ratios.
// `bench_storage [ROASTS [DAYS]]`
//
// A year is 250 days of 40 roasts of 12 minutes, one after the other, on 8 channels at 4 Hz with steps of
// 0.1 °C (an assumption, no source). Everything goes through the recorder's own writer, a second at a time as
// while roasting, and its upkeep; only the waiting for the disk is left out while the material is made.
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <string>
#include <vector>

#include "filled_record.hpp"
#include "record/backup_folder.hpp"
#include "record/reader.hpp"
#include "record/verify.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::int64_t kRoastS = 720;
constexpr std::uint64_t kRoastsADay = 40;
constexpr double kDaysAYear = 250;
constexpr int kTimes = 9;
constexpr int kTimesLong = 3;

/// A roast as the station gives it: a row of frames a second, 12 events, 3 commands.
void roast(BatchWriter& writer, std::uint64_t id, std::uint64_t watch, std::int64_t from_ms) {
    CommitGroup rows;
    rows.rows.push_back(Row{sample_roast_row(id, watch, from_ms, kRoastS - 60)});
    for (int i = 0; i < 12; ++i) rows.rows.push_back(Row{sample_event(watch, id, from_ms + i * 50'000)});
    for (int i = 0; i < 3; ++i) {
        rows.rows.push_back(Row{sample_command(watch, from_ms + i * 90'000, fmt::format("{}-{}", id, i))});
    }
    commit(writer, rows);
    const auto frames = sample_roast(id, from_ms, kRoastS);
    for (std::size_t i = 0; i < frames.size(); i += 4) {
        CommitGroup second;
        for (std::size_t j = i; j < i + 4; ++j) second.frames.push_back({watch, frames[j]});
        commit(writer, second);
    }
    tidy(writer, false);
}

template <typename Work>
double median_ms(const Work& work) {
    std::vector<double> took;
    for (int i = 0; i < kTimes; ++i) {
        const auto from = Clock::now();
        work();
        took.push_back(std::chrono::duration<double, std::milli>(Clock::now() - from).count());
    }
    return median(took);
}

/// The processor's time, which other programs on the machine hardly change.
template <typename Work>
double median_processor_s(const Work& work) {
    std::vector<double> took;
    for (int i = 0; i < kTimesLong; ++i) {
        const std::clock_t from = std::clock();
        work();
        took.push_back(static_cast<double>(std::clock() - from) / CLOCKS_PER_SEC);
    }
    return median(took);
}

/// What keeping it takes, with the file in the page cache.
void keeping(const TempDir& folder, const std::string& path) {
    std::uint64_t roasts = 0;
    std::uint64_t seals = 0;
    const double verify = median_processor_s([&] {
        const auto found = verify_record(path);
        if (!found || !found.value().damage.empty())
            give_up(found ? found.value().damage.front() : found.error());
        roasts = found.value().roasts;
        seals = found.value().seals;
    });
    const double plain = median_processor_s([&] {
        auto database = Database::open(path, OpenMode::read_only);
        if (!database) give_up(database.error());
        const auto check = database.value().text("PRAGMA integrity_check");
        if (!check || check.value() != "ok") give_up("not whole");
    });
    std::int64_t made = 0;
    const double backup = median_processor_s([&] {
        const auto done = make_backup({path, folder.path(), 1, true}, {++made * 1000});
        if (!done) give_up(done.error());
    });
    fmt::print(
        "{} roasts, {} seals, time of the processor: verify {:.2f} s, a plain integrity_check {:.3f} s, "
        "ratio {:.1f}; a verified "
        "backup {:.2f} s\n",
        roasts, seals, verify, plain, verify / plain, backup);
}

void sizes(int days) {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    {
        auto writer = writer_of(path);
        std::uint64_t id = 0;
        for (int day = 1; day <= days; ++day) {
            const auto watch = static_cast<std::uint64_t>(day);
            commit(*writer, {{Row{watch_of(watch)}}, {}, {}});
            for (std::uint64_t i = 0; i < kRoastsADay; ++i) {
                roast(*writer, ++id, watch, static_cast<std::int64_t>(i) * kRoastS * 1000);
            }
            commit(*writer,
                   {{Row{WatchEnd{watch, static_cast<std::int64_t>(kRoastsADay) * kRoastS * 1000}}}, {}, {}});
            tidy(*writer, true);
        }
    }
    const auto bytes = static_cast<double>(std::filesystem::file_size(path));
    const double a_roast = bytes / days / static_cast<double>(kRoastsADay);
    fmt::print("{} days of {} roasts: {:.2f} MB, {:.1f} kB a roast, {:.0f} MB a year of {} days\n", days,
               kRoastsADay, bytes / 1e6, a_roast / 1e3, a_roast * kRoastsADay * kDaysAYear / 1e6, kDaysAYear);
    keeping(folder, path);
}

struct Times {
    double open = 0;
    double page = 0;
    double learn = 0;
};

Times times_of(const std::string& path) {
    Times times;
    times.open = median_ms([&] {
        if (auto opened = open_record(path); !opened) give_up(opened.error());
    });
    auto reader = RecordReader::open(path);
    if (!reader) give_up(reader.error());
    times.page = median_ms([&] {
        if (auto found = reader.value()->roasts(50, 0); !found) give_up(found.error());
    });
    times.learn = median_ms([&] {
        if (auto found = reader.value()->marked_roasts("Saltmarsh Mill", "Fen Meadow, washed", 20); !found) {
            give_up(found.error());
        }
    });
    return times;
}

void starts(std::uint64_t roasts) {
    const TempDir folder;
    fill(folder.file("few.db"), 10);
    fill(folder.file("many.db"), roasts);
    const Times few = times_of(folder.file("few.db"));
    const Times many = times_of(folder.file("many.db"));
    const auto line = [&](const char* what, double a, double b) {
        fmt::print("{}: {:.2f} ms with 10 roasts, {:.2f} ms with {}, ratio {:.2f}\n", what, a, b, roasts,
                   b / a);
    };
    line("opening the record", few.open, many.open);
    line("the newest 50 roasts", few.page, many.page);
    line("earlier first cracks of a coffee", few.learn, many.learn);
}

}  // namespace
}  // namespace drumwatch

int main(int argc, char** argv) {
    drumwatch::starts(argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 20'000);
    drumwatch::sizes(argc > 2 ? std::atoi(argv[2]) : 5);
}
