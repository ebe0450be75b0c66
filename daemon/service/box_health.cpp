#include "service/box_health.hpp"

#include <cstdlib>

#include "service/box_clock.hpp"
#include "service/box_heat.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kClocksApart_ms =
    3'000;  // real time; a scaled clock is allowed as much times its speed
constexpr std::int64_t kPace_ms = 10'000;
constexpr std::int64_t kStepSaid_ms = 60'000;
}  // namespace

BoxHealth::BoxHealth(const Config& config, Run elsewhere, Run back, std::string sys)
    : elsewhere_(std::move(elsewhere)),
      back_(std::move(back)),
      sys_(std::move(sys)),
      speed_(config.simulated ? config.simulated->speed : 1),
      simulated_(config.simulated.has_value()),
      has_days_(!config.simulated || !config.simulated->stepped) {}

void BoxHealth::note(std::vector<Observation>& changes, Tick now, Health health, bool bad) {
    const std::uint32_t bit = 1u << static_cast<unsigned>(health);
    if (is_bad(health) == bad) return;
    bad_ = bad ? bad_ | bit : bad_ & ~bit;
    changes.push_back({now, health, 0, bad});
}

std::vector<Observation> BoxHealth::judge(Tick now, const RecorderStatus& record,
                                          std::optional<std::int64_t> machine_ms) {
    std::vector<Observation> changes;
    note(changes, now, Health::record_failing, !record.writing);
    note(changes, now, Health::disk_low, record.disk_low);
    if (has_days_ && (!asked_clock_ || now - *asked_clock_ >= kPace_ms)) {
        asked_clock_ = now;
        note(changes, now, Health::clock_unsynchronised, !clock_synchronised());
    }
    note(changes, now, Health::clock_stepped, stepped_ && now - *stepped_ < kStepSaid_ms);
    ask_sensors(now);
    if (hottest_c_) {
        const double until_c = is_bad(Health::processor_hot) ? kCoolAgain_c : kHot_c;
        note(changes, now, Health::processor_hot, *hottest_c_ >= until_c);
    }
    if (machine_ms) {
        const auto allowed = static_cast<std::int64_t>(static_cast<double>(kClocksApart_ms) * speed_);
        note(changes, now, Health::simulated_clock_apart, std::llabs(*machine_ms - now.ms) > allowed);
    }
    return changes;
}

std::optional<WallTime> BoxHealth::look_at_clock(const Clock& clock, Tick now) {
    if (simulated_) return std::nullopt;
    const auto began = steps_.look(clock, now);
    if (began && !is_bad(Health::clock_unsynchronised)) stepped_ = now;
    return began;
}

void BoxHealth::ask_sensors(Tick now) {
    if (!has_days_ || (asked_heat_ && now - *asked_heat_ < kPace_ms)) return;
    asked_heat_ = now;
    elsewhere_(
        [this, back = back_, sys = sys_] { back([this, found = hottest_c(sys)] { hottest_c_ = found; }); });
}

}  // namespace drumwatch
