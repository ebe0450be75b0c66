// The site's configuration file: JSON with // comments, read once, never rewritten by the daemon.
// conf/README.md says what each key means; every mistake is found in one pass, with a JSON Pointer, also
// after something that is not JSON (files/json_mender.hpp), and nothing starts half.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "alarms/indicator.hpp"
#include "alarms/settings.hpp"
#include "core/alarm_advice.hpp"
#include "core/channel.hpp"
#include "core/result.hpp"
#include "core/target.hpp"
#include "drivers/bus.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

/// Only on a station declared simulated. Scaled: the daemon's clock runs `speed` times faster. Stepped: the
/// clock is the machine's polled time register.
struct SimulatedConfig {
    bool stepped = false;
    double speed = 1;
    friend bool operator==(const SimulatedConfig&, const SimulatedConfig&) = default;
};

/// A coil on a bus that Drumwatch may write; part of the allow-list.
struct CoilConfig {
    std::size_t bus = 0;
    std::uint16_t address = 0;
    friend bool operator==(const CoilConfig&, const CoilConfig&) = default;
};

/// What makes an alarm heard or seen: a coil on a bus, or an output of the box.
struct SounderConfig {
    std::string name;
    std::optional<CoilConfig> coil;  ///< nothing: `output` says it
    Indicator what = Indicator::buzzer;
    SounderOutput output;
    friend bool operator==(const SounderConfig&, const SounderConfig&) = default;
};
/// "coil", "gpio" or "command", as the file has it.
std::string_view kind_name(const SounderConfig& sounder);
inline constexpr std::size_t kMaxSounders = 16;  ///< a bit each

/// A push-button: a discrete input on a bus, or a line of the box.
struct ButtonConfig {
    std::string name;
    ButtonMeaning meaning = ButtonMeaning::acknowledge;
    std::optional<std::size_t> bus;  ///< nothing: `line` says it
    std::size_t input = 0;           ///< index into the bus's discrete inputs
    ButtonInput line;
    friend bool operator==(const ButtonConfig&, const ButtonConfig&) = default;
};

/// The independent high-limit control of the machine.
struct LimiterConfig {
    bool stated = false;  ///< false: "none stated", with a standing notice
    std::string place;    ///< a channel's name, or the site's words
    double setting_c = 0;
    std::string tested;  ///< the day of its last test, "2026-03-31"; empty: not stated
    std::int64_t test_every_months = 12;
    friend bool operator==(const LimiterConfig&, const LimiterConfig&) = default;
};

/// How the site keeps its probes.
struct ProbeRules {
    std::optional<std::int64_t> check_every_days;  ///< nothing: no check is asked for
    std::optional<double> altitude_m;              ///< of the site, for the boiling point
    Milli largest_correction_milli = 5'000;
    friend bool operator==(const ProbeRules&, const ProbeRules&) = default;
};

enum class ReminderUnit : std::uint8_t { batches, kilograms, hours };

/// Care of the machine that comes back after so much use.
struct ReminderConfig {
    std::string name;  ///< what is to be done, in the site's words: "empty the chaff bin"
    ReminderUnit unit = ReminderUnit::batches;
    double every = 0;  ///< batches, kg charged, or hours between charge and drop
    friend bool operator==(const ReminderConfig&, const ReminderConfig&) = default;
};

/// Backups that the daemon makes by itself.
struct BackupConfig {
    std::string folder;         ///< on another file system than the record, unless same_disk
    std::int64_t every_h = 24;  ///< hours
    std::int64_t keep = 14;
    bool same_disk = false;
    friend bool operator==(const BackupConfig&, const BackupConfig&) = default;
};

struct RecordConfig {
    std::string path;               ///< of the database file
    int raw_months = 12;            ///< older raw frames are thinned to 1 Hz; roasts never go
    std::int64_t budget_mb = 4000;  ///< disk budget; raw frames between roasts are thinned first
    std::optional<BackupConfig> backup;
    friend bool operator==(const RecordConfig&, const RecordConfig&) = default;
};

struct WebConfig {
    std::string host = "127.0.0.1";
    std::uint16_t port = 8420;               ///< 0: the kernel's choice, printed
    std::vector<std::string> allowed_hosts;  ///< Host header values beside host:port and localhost
    friend bool operator==(const WebConfig&, const WebConfig&) = default;
};

struct Config {
    std::string path;     ///< of the file itself
    std::string hash;     ///< of its bytes, for Begin
    std::string station;  ///< e.g. "Saltmarsh Mill, station 2"
    std::string machine;
    std::int64_t tick_ms = 250;
    std::optional<SimulatedConfig> simulated;
    ChannelTable channels;
    std::vector<BusConfig> buses;  ///< with their channels and writable coils filled in
    std::vector<SounderConfig> sounders;
    std::vector<ButtonConfig> buttons;
    std::optional<int> sounder_test_at = 5 * 60 + 30;  ///< minutes since local midnight; nothing: never
    bool chirp_at_start = true;
    bool chime_prompts = false;  ///< sounders of the box only; a coil is too coarse
    std::optional<CoilConfig> heartbeat;
    AlarmSettings alarms;
    SiteAdvices advice;
    LimiterConfig limiter;
    std::string site_card;  ///< the site's own words on heat and fire; empty: the default sentence
    Tolerance verdict;      ///< the site's defaults; a target's own win
    std::vector<ReminderConfig> reminders;
    ProbeRules probes;
    RecordConfig record;
    WebConfig web;
    std::vector<std::string> targets;  ///< target files to offer, absolute or beside the configuration file
    std::string chosen_target;         ///< name of the one that is loaded at start; may be empty
};

struct ConfigMistake {
    std::string pointer;  ///< JSON Pointer (RFC 6901) of the place
    std::string message;  ///< what is wrong and what would be right
    int line = 0;         ///< from 1; 0 where unknown
    int column = 0;
};

/// The file read, or every mistake in it. Never throws.
struct ConfigReading {
    std::optional<Config> config;
    std::vector<ConfigMistake> mistakes;
    bool readable = true;  ///< false: the file could not be read; the one mistake says why, without a place
};
ConfigReading read_config(const std::string& path);
/// The same from text, `path` only for messages and relative names.
ConfigReading parse_config(const std::string& text, const std::string& path);
/// One line a mistake: file:line:column: /json/pointer: message
std::string format_mistake(const std::string& path, const ConfigMistake& mistake);

}  // namespace drumwatch
