// Rows of the record, as plain data. The schema stands in record/schema.hpp, the layout of packed frames in
// record/pack.hpp.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/channel.hpp"
#include "core/milestone.hpp"
#include "core/reading.hpp"
#include "core/verdict.hpp"
#include "core/wall_time.hpp"

namespace drumwatch {

/// An unbroken stretch of recording. `begin` is the text that opens it (JSON, made by the service).
struct WatchRow {
    std::uint64_t id = 0;
    std::int64_t tick_ms = 250;
    WallTime began;
    std::string build;
    std::string config_hash;
    std::string begin;
    ChannelTable channels;
};

/// From when to when a watch was, without what it holds.
struct WatchSpan {
    std::uint64_t id = 0;
    WallTime began;  ///< label of `first`
    Tick first;
    Tick last;  ///< its end; while it is open, its newest frame or event
};

/// How a roast's row stands.
enum class RoastState : std::uint8_t { roasting, finished, aborted, withdrawn, interrupted };
std::string_view name(RoastState state);  ///< "roasting" and so on: the word of files and API
std::optional<RoastState> roast_state_from_name(std::string_view name);

struct RoastRecord {
    std::uint64_t id = 0;
    std::uint64_t watch = 0;
    std::string station;
    std::string coffee;
    std::string target_name;  ///< empty: none
    int target_version = 0;
    RoastState state = RoastState::roasting;
    Tick charge;
    std::optional<Tick> drop;
    WallTime charged_at;  ///< label
    MilestoneSet milestones;
    std::optional<Verdict> verdict;
    std::string reasons;  ///< JSON array of {rule, text, value, limit}, as the API shows it
    std::string moves;    ///< JSON array, as the API shows it
};

struct CommandRow {
    std::uint64_t watch = 0;
    std::int64_t tick_ms = 0;
    std::string kind;
    std::string body;  ///< JSON
    std::string who;
    std::string client_id;  ///< not empty: the same in the same watch is a retry, stored once
    WallTime wall;
};

struct EventRow {
    std::uint64_t watch = 0;
    std::uint64_t roast = 0;
    std::int64_t tick_ms = 0;
    std::int64_t at_ms = 0;
    std::string kind;
    std::string body;  ///< JSON: the codes and numbers
    std::string text;  ///< the same in words
};

struct ObservationRow {
    std::uint64_t watch = 0;
    std::int64_t tick_ms = 0;
    std::string health;
    int index = 0;
    bool bad = false;
};

struct TargetRow {
    std::string name;
    int version = 1;
    std::string status;
    std::string coffee;
    std::string json;  ///< the target file's text
    WallTime stored;
};

/// What a late fact says of.
enum class LateKind : std::uint8_t { charge_kg, roasted_kg, colour };
std::string_view name(LateKind kind);  ///< "charge_kg" and so on: the word of record and API
std::optional<LateKind> late_kind_from_name(std::string_view name);

/// Weight or colour of a roast, known only after its drop. The newest of a kind counts.
struct LateFactRow {
    std::uint64_t roast = 0;
    LateKind kind = LateKind::roasted_kg;
    std::optional<std::int64_t>
        value_milli;  ///< g, or thousandths of the site's colour scale; none: taken back
    std::string who;
    std::string client_id;  ///< the same of the same kind and roast is a retry, stored once
    WallTime given;
};

/// Somebody did what one of the site's reminders asks for.
struct CareRow {
    std::string reminder;
    std::string who;
    std::string client_id;  ///< the same of the same reminder is a retry, stored once
    WallTime done;
    std::uint64_t after_roast = 0;  ///< the newest roast that was over by then; what came after it counts
};

/// What was found of a probe or done to it.
enum class ProbeAct : std::uint8_t {
    checked,     ///< compared with a known temperature
    calibrated,  ///< another calibration holds from here on
    wiped,       ///< this and the next two begin a new epoch of the probe
    moved,
    replaced,
    target_confirmed,  ///< a target from before the epoch still holds: its name is the note
};
std::string_view name(ProbeAct act);  ///< "checked" and so on: the word of record and API
std::optional<ProbeAct> probe_act_from_name(std::string_view name);
constexpr bool begins_epoch(ProbeAct act) {
    return act == ProbeAct::wiped || act == ProbeAct::moved || act == ProbeAct::replaced;
}

struct ProbeRow {
    std::string channel;  ///< its name
    ProbeAct act = ProbeAct::checked;
    std::string method;                ///< of a check: "ice_point", "boiling_point" or "comparison"
    std::optional<Milli> reads_milli;  ///< of a check: without any correction
    std::optional<Milli> is_milli;     ///< of a check: what was true
    std::string before;                ///< of a calibration: "reads=is reads=is", thousandths; empty: none
    std::string after;
    std::string note;
    std::string who;
    std::string client_id;  ///< the same of the same channel and act is a retry, stored once
    WallTime at;
};

/// What the machine did since then. Withdrawn charges don't count, a roast in the drum not yet.
struct MachineUse {
    std::uint64_t batches = 0;
    std::int64_t charged_g = 0;        ///< as weighed, else as the target plans it
    std::uint64_t without_weight = 0;  ///< batches of which neither is known
    std::int64_t roasting_ms = 0;      ///< charge to drop
    std::uint64_t newest_over = 0;     ///< roast; 0: none
};

/// What opening the record found, for a person and for Begin.
struct RecordFound {
    std::uint64_t next_watch = 1;
    std::uint64_t next_roast = 1;
    std::uint64_t roasts = 0;
    bool unclean = false;                      ///< the last watch was not closed
    bool set_aside = false;                    ///< the record was damaged, and a new one begins
    std::optional<WallTime> last_drop;         ///< of the newest roast that was dropped
    std::optional<std::uint64_t> interrupted;  ///< a roast that was in the drum then
    std::vector<std::string>
        sentences;  ///< e.g. "opened record.db: 14 roasts; the last watch was not closed ..."
};

/// An earlier finished roast of a coffee on a station, with a marked first crack.
struct MarkedRoast {
    MilestoneSet milestones;
    std::string target;  ///< its name; empty: it had none
    WallTime charged_at;
};

}  // namespace drumwatch
