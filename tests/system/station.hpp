// Simulator and daemon as real processes, and what they left: the simulator's truth and the daemon's record.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "record/reader.hpp"
#include "support/child_process.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {

/// A line of the simulator's truth log.
struct Truth {
    std::string event;
    std::int64_t sim_ms = 0;
    int batch = 0;
    std::string detail;  ///< the rest of the line
};

/// How a test's station differs from the plain one (stepped, one bus, approved target of the machine).
struct StationPlan {
    std::string machine = "drum";
    std::vector<std::string> simulator;  ///< further arguments
    bool with_target = true;
    std::vector<std::string> target_edits;  ///< options of "target edit", such as {"--weight-loss", "14:15"}
    bool stepped = true;
    double speed = 1;
    bool own_time = true;      ///< false: a station as of a real machine, at the pace of life
    bool serial_bean = false;  ///< the bean probe comes over the serial text stream
    bool relay_board = false;  ///< sounder and heartbeat on a second device, another simulator
    std::string alarms = "{}";
    std::string sounders;         ///< "sounders" as JSON, in the place of the one coil
    bool chirp_at_start = false;  ///< a roast's test counts the sounder's pulses
    std::string buttons = "[]";
    std::string record_folder;                    ///< empty: the station's own
    std::vector<std::string> daemon_environment;  ///< NAME=VALUE
};

class StationRun {
  public:
    explicit StationRun(const StationPlan& plan);

    /// Until the simulator has ended by itself (--exit-after-batches), then the daemon is told to stop. Fails
    /// when the daemon does not end cleanly.
    void to_the_end();
    /// Waits for a truth line of the machine (or of the relay board).
    void await_truth(const std::string& event, const std::string& part, bool relay = false);
    void stop();
    /// The power cut: SIGKILL, then a new daemon on the same configuration and record. Gives what it says at
    /// start.
    /// `also`: put before the configuration's text.
    std::string kill_and_restart(const std::string& also = "");
    /// The same after SIGTERM; `between` is done while no daemon runs.
    std::string stop_and_restart(const std::function<void()>& between = {});

    std::uint16_t port() const { return port_; }                  ///< of the page
    std::uint16_t machine_port() const { return machine_port_; }  ///< of the simulator's Modbus face
    std::string log() const {
        return daemon_ ? daemon_->errors() : log_;
    }  ///< of the daemon that runs, or ran last
    bool daemon_running() { return daemon_->running(); }
    std::string record_path() const {
        return plan_.record_folder.empty() ? folder_.file("record.sqlite")
                                           : plan_.record_folder + "/record.sqlite";
    }
    /// The recorded roast exported and run again; what `rerun --json` prints.
    std::string rerun_of_export(std::uint64_t id) const;
    /// An export may be made again, but is written over nothing else.
    void check_export_spares_others() const;
    /// What shows a watch on a page.
    std::vector<std::string> show_arguments(std::uint64_t watch,
                                            const std::vector<std::string>& options) const;
    std::vector<Truth> truth(bool relay = false) const;
    /// The first truth of that event and batch; fails without one.
    Truth first(const std::string& event, int batch = 1) const;
    RoastRecord roast(std::uint64_t id) const;
    std::size_t roasts() const;  ///< how many are in the record
    std::vector<Frame> frames(std::uint64_t watch = 1) const;
    std::vector<EventRow> events() const;

  private:
    std::string write_config(const std::string& modbus_port, const std::string& serial,
                             const std::string& relay_port);

    void edit_target();
    void start_daemon();
    /// Every watch, run again from the record and from its export, must give the journal that it gave live,
    /// byte for byte.
    void check_reruns() const;

    StationPlan plan_;
    TempDir folder_;
    std::string config_;
    std::optional<ChildProcess> simulator_;
    std::optional<ChildProcess> relay_;
    std::optional<ChildProcess> daemon_;
    std::string log_;
    std::uint16_t port_ = 0;
    std::uint16_t machine_port_ = 0;
};

}  // namespace drumwatch
