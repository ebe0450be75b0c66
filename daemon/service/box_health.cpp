#include "service/box_health.hpp"

#include <cstdlib>

#include "service/box_clock.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kClocksApart_ms =
    3'000;  // real time; a scaled clock is allowed as much times its speed
constexpr std::int64_t kClockPace_ms = 10'000;
}  // namespace

void BoxHealth::note(std::vector<Observation>& changes, Tick now, Health health, bool bad) {
    const std::uint32_t bit = 1u << static_cast<unsigned>(health);
    if (((bad_ & bit) != 0) == bad) return;
    bad_ = bad ? bad_ | bit : bad_ & ~bit;
    changes.push_back({now, health, 0, bad});
}

std::vector<Observation> BoxHealth::judge(Tick now, const RecorderStatus& record,
                                          std::optional<std::int64_t> machine_ms) {
    std::vector<Observation> changes;
    note(changes, now, Health::record_failing, !record.writing);
    note(changes, now, Health::disk_low, record.disk_low);
    if (asks_clock_ && (!asked_clock_ || now - *asked_clock_ >= kClockPace_ms)) {
        asked_clock_ = now;
        note(changes, now, Health::clock_unsynchronised, !clock_synchronised());
    }
    if (machine_ms) {
        const auto allowed = static_cast<std::int64_t>(static_cast<double>(kClocksApart_ms) * speed_);
        note(changes, now, Health::simulated_clock_apart, std::llabs(*machine_ms - now.ms) > allowed);
    }
    return changes;
}

}  // namespace drumwatch
