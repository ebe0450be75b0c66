// What people find of the probes and do to them: checks against a known temperature, calibrations, and
// changes that begin a new probe epoch. All of it is in the record, and what holds is read from there at
// start. Thread: core.
//
// A check takes the mean of what the channel reads, without correction, over the last 20 s, and only where
// that is steady. Nothing of this is done with a batch in the drum: its curve would get a step.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/clock.hpp"
#include "core/observation.hpp"
#include "core/snapshot.hpp"
#include "drivers/sensors/calibration.hpp"
#include "record/recorder.hpp"
#include "service/bus_room.hpp"
#include "service/latest_readings.hpp"
#include "service/probe_faults.hpp"
#include "web/api.hpp"

namespace drumwatch {

/// "99100=99570 200000=199000" and back; nothing for a text that is no calibration.
std::string calibration_text(const Calibration& calibration);
std::optional<Calibration> parse_calibration(const std::string& text);

/// Of one channel, as the log tells it.
struct ProbeHistory {
    Calibration calibration;
    std::optional<ProbeRow> last_check;
    std::optional<ProbeRow> epoch;  ///< what began it
};

class ProbeDesk {
  public:
    using Answer = std::function<void(CommandAnswer)>;
    using Post = std::function<void(std::function<void()>)>;
    /// A probe's epoch has begun.
    using NewEpoch = std::function<void(std::size_t channel)>;

    /// All must outlive it. `post` runs work on the core thread. `log`: of the record, oldest first.
    ProbeDesk(const Config& config, const std::vector<ProbeRow>& log, LatestReadings& latest,
              Recorder& recorder, const Clock& clock, Post post, NewEpoch new_epoch);

    /// After each frame was made; whether the bean probe's check is overdue, where that has changed.
    std::optional<Observation> tick(Tick now, bool roasting);
    /// Each snapshot that the engine made.
    void judged(const Snapshot& snapshot);
    /// Of a watch that went on: what the engine knows already.
    void stands(bool overdue) { overdue_ = overdue; }
    void take_saying(const ProbeSaid& said, const Answer& answer);
    /// GET /api/probes.
    std::string json(const Snapshot& now, const std::vector<BusRoom::LinkState>& links) const;

    /// As in the configuration.
    const std::vector<ProbeHistory>& histories() const { return histories_; }
    /// Whole days until the channel's check is due, negative: overdue; nothing where the site asks for none.
    std::optional<std::int64_t> due_in_days(std::size_t channel) const;

  private:
    struct Recent {
        Tick at;
        Milli reads_milli = 0;
    };
    void check(const ProbeChecked& said, const Answer& answer);
    void calibrate(const ProbeCalibrated& said, const Answer& answer);
    void change(const ProbeChanged& said, const Answer& answer);
    /// A target from before the epoch still holds.
    void confirm(const TargetConfirmed& said, const Answer& answer);
    void finish(const std::string& client_id, const CommandAnswer& told);
    void remember(const std::string& client_id);
    std::optional<std::size_t> find(const std::string& channel, const Answer& answer) const;
    void take(const ProbeRow& row);
    void keep(ProbeRow row, std::string done, const Answer& answer);
    std::optional<Milli> steady_reading(std::size_t channel, const Answer& answer) const;
    std::optional<Milli> truth_of(const ProbeChecked& said, const Answer& answer) const;

    ChannelTable channels_;
    ProbeRules rules_;
    LatestReadings& latest_;
    Recorder& recorder_;
    const Clock& clock_;
    Post post_;
    NewEpoch new_epoch_;
    std::vector<ProbeHistory> histories_;
    ProbeFaultBook faults_;
    std::vector<std::vector<Recent>> recent_;  ///< of each channel, oldest first
    std::vector<std::string> client_ids_;      ///< of the newest sayings: a retry acts once
    /// By client id, who waits for the commit: the saying itself, and retries of it that came before.
    std::map<std::string, std::vector<Answer>> under_way_;
    bool roasting_ = false;
    bool overdue_ = false;
};

}  // namespace drumwatch
