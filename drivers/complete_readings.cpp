#include "drivers/complete_readings.hpp"

#include <chrono>
#include <utility>

#include "drivers/sensors/bus_sensors.hpp"

namespace drumwatch {
namespace {

class CompleteReadings final : public Driver {
  public:
    CompleteReadings(BusSensors sensors, double speed, std::unique_ptr<Driver> link)
        : sensors_(std::move(sensors)), speed_(speed), link_(std::move(link)) {}

    Result<Done> open() override {
        sensors_.forget();
        return link_->open();
    }

    PollOutcome poll() override {
        PollOutcome outcome = link_->poll();
        const std::string complaint = sensors_.complete(outcome.readings, now_ms(outcome));
        if (outcome.complaint.empty()) outcome.complaint = complaint;
        return outcome;
    }

    void close() override { link_->close(); }
    Result<Done> write_coil(AllowedCoil coil, bool on) override { return link_->write_coil(coil, on); }

  private:
    std::int64_t now_ms(const PollOutcome& outcome) {
        if (outcome.machine_ms) machine_ms_ = outcome.machine_ms;
        if (machine_ms_) return *machine_ms_;  // never the two clocks in turn
        const std::chrono::duration<double, std::milli> since =
            std::chrono::steady_clock::now().time_since_epoch();
        return static_cast<std::int64_t>(since.count() * speed_);
    }

    BusSensors sensors_;
    double speed_;
    std::optional<std::uint32_t> machine_ms_;
    std::unique_ptr<Driver> link_;
};

}  // namespace

std::unique_ptr<Driver> with_complete_readings(const BusConfig& bus, double speed,
                                               std::unique_ptr<Driver> link) {
    BusSensors sensors(bus);
    if (!sensors.has_any()) return link;
    return std::make_unique<CompleteReadings>(std::move(sensors), speed, std::move(link));
}

}  // namespace drumwatch
