#include "service/service_manager.hpp"

#include <fmt/format.h>
#include <systemd/sd-daemon.h>

#include <bit>
#include <utility>

namespace drumwatch {

namespace {

using std::chrono::seconds;

constexpr seconds kFeedPace{1};

std::string what_is_on(const Snapshot& snapshot) {
    if (snapshot.roast && snapshot.cooling)
        return fmt::format("Watching: roast {} in the drum, roast {} in the tray", snapshot.roast->id,
                           snapshot.cooling->id);
    if (snapshot.roast) return fmt::format("Watching: roast {} in the drum", snapshot.roast->id);
    if (snapshot.cooling) return fmt::format("Watching: roast {} in the tray", snapshot.cooling->id);
    return "Watching: nothing in the drum";
}

}  // namespace

ServiceManager::ServiceManager(Tell tell) : tell_(std::move(tell)) {}

void ServiceManager::to_service_manager(const std::string& message) { sd_notify(0, message.c_str()); }

void ServiceManager::busy(const std::string& sentence, seconds within) {
    const auto micros = std::chrono::microseconds(within).count();
    tell_(fmt::format("EXTEND_TIMEOUT_USEC={}\nSTATUS={}", micros, sentence));
}

void ServiceManager::ticked(Instant now, const RecorderStatus& record, const Snapshot& snapshot) {
    if (!ready_ || record.turns != turns_ || record.at_disk) recorder_alive_ = now;
    turns_ = record.turns;
    recorder_stuck_ = now - recorder_alive_ > kRecorderStuck;
    std::string news;
    if (!std::exchange(ready_, true)) news = "\nREADY=1";
    std::string status = station_sentence(snapshot, record);
    if (status != status_) news += "\nSTATUS=" + status;
    status_ = std::move(status);
    feed(now, news);
}

void ServiceManager::polled(Instant now) {
    if (ready_) feed(now, "");
}

void ServiceManager::feed(Instant now, const std::string& and_status) {
    const bool feeds = !recorder_stuck_ && now - fed_ >= kFeedPace;
    if (feeds) fed_ = now;
    std::string message = (feeds ? "WATCHDOG=1" : "") + and_status;
    if (message.starts_with('\n')) message.erase(0, 1);
    if (!message.empty()) tell_(message);
}

void ServiceManager::ending() { tell_("STOPPING=1\nWATCHDOG=1\nSTATUS=Ending: what waits is being written"); }

seconds opening_time(std::uintmax_t record_bytes) {
    constexpr std::uintmax_t kSlowDisk_bytes_per_s = 5'000'000;
    return seconds(60 + static_cast<std::int64_t>(record_bytes / kSlowDisk_bytes_per_s));
}

std::string station_sentence(const Snapshot& snapshot, const RecorderStatus& record) {
    std::string sentence = what_is_on(snapshot);
    if (const int silent = std::popcount(snapshot.silent_buses); silent > 0)
        sentence +=
            fmt::format("; {} silent", silent == 1 ? "a bus is" : fmt::format("{} buses are", silent));
    if (!record.writing)
        sentence += fmt::format("; the record can't be written: {}", record.complaint);
    else if (record.disk_low)
        sentence += fmt::format("; only {} MB of the disk are free", record.free_mb);
    return sentence;
}

}  // namespace drumwatch
