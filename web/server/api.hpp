// What the web server needs from the rest of the daemon, as plain calls: service/ fills it in, so that web/
// knows neither the engine nor the record. All texts are UTF-8 JSON unless said.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/alarm_advice.hpp"
#include "core/command.hpp"
#include "core/snapshot.hpp"
#include "core/wall_time.hpp"

namespace drumwatch {

/// What does not change while the daemon runs.
struct StationFacts {
    std::string station;
    std::string machine;
    std::string build;
    ChannelTable channels;
    std::vector<std::string> buses;  ///< names, by bit of Snapshot::silent_buses
    std::int64_t tick_ms = 250;
    bool simulated = false;
    double speed = 1;
    std::string limiter;  ///< sentence: "independent limiter at bean probe, 245 °C" or the standing notice
    std::string site_card;
    SiteAdvices advice;
};

/// A sounder or light, as it was last found.
struct SounderState {
    std::string name;
    std::string kind;  ///< "coil", "gpio" or "command"
    bool working = true;
    std::string why;                    ///< it doesn't work, for a person; empty if it does
    std::optional<WallTime> tested_at;  ///< since the start; nothing: not yet
};

/// One of the site's reminders of care for the machine, and what was counted since it was last done.
struct ReminderState {
    std::string name;
    std::string unit;  ///< "batches", "kg" (charged), "h" (of roasting) or "months"
    double every = 0;
    std::optional<double> counted;  ///< nothing: not known since when
    bool due = false;
    std::uint64_t without_weight = 0;  ///< batches that a count of kg misses
    std::optional<WallTime> done_at;   ///< nothing: never, then the whole record counts
    std::string done_by;
};

/// What changes slowly and is no part of the engine's snapshot; published with it.
struct BoxState {
    WallTime utc;
    bool record_writing = true;
    std::string record_text;         ///< "written 1 s ago" or the complaint
    std::vector<std::string> links;  ///< one sentence a bus that complains; empty when all is well
    std::vector<SounderState> sounders;
    std::vector<ReminderState> reminders;  ///< as in the configuration; empty until the record was asked
    /// The snapshot's last verdict with what was weighed and measured since; nothing: as it was given.
    std::optional<Verdict> late_verdict;
};

struct Published {
    std::shared_ptr<const Snapshot> snapshot;
    std::shared_ptr<const BoxState> box;
};

/// The answer to a command: HTTP status 200, 202 (acted, record failing), 404, 409, 422 and a sentence for a
/// person.
struct CommandAnswer {
    int status = 200;
    bool recorded = true;
    std::string text;
};

/// A reply of the query side: HTTP status and body. From 400 up the body is problem details with their own
/// content type, or a sentence for a person, of which the server makes them.
struct QueryAnswer {
    int status = 200;
    std::string content_type = "application/json";
    std::string body;
    std::string file_name;  ///< for a download; empty: none
};

/// What was weighed or measured of a roast after its drop.
struct FactGiven {
    std::string kind;             ///< "charge_kg", "roasted_kg" or "colour"
    std::optional<double> value;  ///< nothing: what was said before is taken back
};
struct FactsGiven {
    std::uint64_t roast = 0;
    std::vector<FactGiven> facts;
    std::string who;
    std::string client_id;
};

/// Somebody did what the reminder of that name asks for.
struct ReminderDone {
    std::string name;
    std::string who;
    std::string client_id;
};

/// POST /api/probes/check: a probe sits in something whose temperature is known.
struct ProbeChecked {
    std::string channel;
    std::string method;                  ///< "ice_point", "boiling_point" or "comparison"
    std::optional<double> is_c;          ///< of a comparison: what the other instrument reads
    std::optional<double> pressure_hpa;  ///< of a boiling point: as measured at the site
    std::string note;
    std::string who;
    std::string client_id;
};

/// POST /api/probes/calibrate; no points: none holds any longer.
struct ProbeCalibrated {
    std::string channel;
    struct Point {
        double reads_c = 0;  ///< without any correction
        double is_c = 0;
    };
    std::vector<Point> points;  ///< at most five
    std::string note;
    std::string who;
    std::string client_id;
};

/// POST /api/probes/change: what it has learned counts for little from then on.
struct ProbeChanged {
    std::string channel;
    std::string what;  ///< "wiped", "moved" or "replaced"
    std::string note;
    std::string who;
    std::string client_id;
};

/// POST /api/target/confirm: a target from before a probe was changed still holds.
struct TargetConfirmed {
    std::string name;
    std::string who;
    std::string client_id;
};
using ProbeSaid = std::variant<ProbeChecked, ProbeCalibrated, ProbeChanged, TargetConfirmed>;

/// Called on the web thread; must only post. `answer` may be called on any thread, exactly once.
struct Api {
    std::function<void(Command, std::function<void(CommandAnswer)> answer)> command;
    /// "roasts", "roasts/17", "roasts/17.csv", "targets", "targets/NAME" (percent-decoded), "alarms/figures"
    /// ...; `query` is the raw query string.
    std::function<void(std::string path, std::string query, std::function<void(QueryAnswer)> answer)> query;
    /// Chooses a stored target by name (empty: none); answered like a command.
    std::function<void(std::string name, std::string who, std::string client_id,
                       std::function<void(CommandAnswer)>)>
        choose_target;
    std::function<void(FactsGiven, std::function<void(CommandAnswer)>)> facts;
    std::function<void(ReminderDone, std::function<void(CommandAnswer)>)> reminder_done;
    std::function<void(ProbeSaid, std::function<void(CommandAnswer)>)> probe_said;
    /// The state of all probes, as JSON; answered by the core thread.
    std::function<void(std::function<void(QueryAnswer)>)> probes;
    /// A short chirp of each sounder in turn; answered when it begins, or is refused.
    std::function<void(std::string who, std::function<void(CommandAnswer)>)> test_sounders;
};

}  // namespace drumwatch
