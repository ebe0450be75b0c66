// Looks at the box that a station runs on, and says in a line each what is well, what to look at and what is
// broken, with what to do. It reads from a bus and never writes to one; where a daemon watches the station at
// the same time, the daemon is asked and the buses are left alone (many devices serve one client only).
//
// Each check stands by itself and ends in bounded time: a bus takes its own timeout, at most 10 s. Thread:
// any. The limits below are judgement without a source, unless said otherwise.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"

namespace drumwatch {

enum class FindingState : std::uint8_t { well, look, broken };

struct Finding {
    std::string topic;  ///< one or two words
    FindingState state = FindingState::well;
    std::string text;    ///< what was found
    std::string advice;  ///< what to do; empty where nothing is
};

/// Where the kernel tells of the box.
struct KernelFiles {
    std::string sys = "/sys";
    std::string proc = "/proc";
};

constexpr const char* kDaemonUser = "drumwatch";  ///< as the package makes it

/// All of it, in the order in which a person would look.
std::vector<Finding> examine(const Config& config);
/// What can be said without a configuration.
std::vector<Finding> examine_box(const KernelFiles& files);

// One function a topic; each may give several findings.
std::vector<Finding> look_at_disk(const RecordConfig& record);
std::vector<Finding> look_at_record(const RecordConfig& record, std::optional<std::string> holder);
Finding look_at_backups(const RecordConfig& record);
std::vector<Finding> look_at_buses(const Config& config, bool daemon_runs);
/// A port that this user may not read and write; nothing where it may, or where there is no such user.
std::optional<Finding> look_at_rights(const std::string& device, const std::string& user_name);
/// A record that the daemon's user may not write, seen by root; nothing where it may or where it can't be
/// told.
std::optional<Finding> look_at_writer(const std::string& record_path, const std::string& user_name);
/// Sounders, lights and what the box can say of them without making a sound.
std::vector<Finding> look_at_sounders(const Config& config);
Finding look_at_page(const WebConfig& web, bool daemon_runs);
Finding look_at_clock(bool synchronised, const KernelFiles& files);
Finding look_at_temperature(const KernelFiles& files);
Finding look_at_memory(const KernelFiles& files);

/// Whether somebody (a process id, if the lock file names one) holds the record's lock; the lock itself is
/// not touched, so that a daemon that starts just now is not refused.
std::optional<std::string> record_holder(const std::string& record_path, const KernelFiles& files);

/// False where this user lacks the right to look into the record's folder.
bool may_see_record(const std::string& record_path);

FindingState worst(const std::vector<Finding>& findings);
std::string_view name(FindingState state);

}  // namespace drumwatch
