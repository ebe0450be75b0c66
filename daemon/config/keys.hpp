// Every key of the configuration file, by section: the one list that the reader is strict about, and that
// conf/station.schema.json and conf/README.md are tested against. Those of a bus stand in bus_kinds.hpp.
#pragma once

#include <algorithm>
#include <array>
#include <span>
#include <string_view>

#include "config/alarm_keys.hpp"
#include "config/bus_kinds.hpp"
#include "files/json_object.hpp"
#include "files/tolerance_json.hpp"

namespace drumwatch {

inline constexpr JsonKey kRootKeys[] = {
    {"station", true}, {"machine"},         {"tick_ms"},        {"simulated"},
    {"buses", true},   {"channels", true},  {"sounder"},        {"sounders"},
    {"buttons"},       {"sounder_test_at"}, {"chirp_at_start"}, {"chime_prompts"},
    {"heartbeat"},     {"limiter", true},   {"alarms"},         {"site_card"},
    {"reminders"},     {"probes"},          {"verdict"},        {"record", true},
    {"web"},           {"targets"},         {"target"}};
inline constexpr JsonKey kSimulatedKeys[] = {{"speed"}, {"stepped"}};
inline constexpr JsonKey kBusUnitKeys[] = {{"unit_id", true}, {"timeout_ms"}, {"pause_ms"}};
inline constexpr JsonKey kChannelKeys[] = {{"name", true},   {"bus", true},    {"unit", true}, {"span"},
                                           {"max_age_ms"},   {"probe_lag_ms"}, {"twin"},       {"twin_limit"},
                                           {"modbus"},       {"text"},         {"scale"},      {"offset"},
                                           {"thermocouple"}, {"rtd"},          {"signal"},     {"pulses"}};
inline constexpr JsonKey kModbusKeys[] = {{"table", true}, {"address", true}, {"unit_id"},
                                          {"type"},        {"order"},         {"open_raw"}};
inline constexpr JsonKey kTextKeys[] = {{"field"}, {"key"}, {"open_text"}, {"suffix"}};
inline constexpr JsonKey kThermocoupleKeys[] = {{"type", true}, {"cold_junction_c"}, {"cold_junction"}};
inline constexpr JsonKey kRtdKeys[] = {{"type", true}};
inline constexpr JsonKey kSignalKeys[] = {
    {"low"},         {"high"},       {"lower_range_value", true}, {"upper_range_value", true},
    {"fault_below"}, {"fault_above"}};
inline constexpr JsonKey kPulsesKeys[] = {{"per_turn", true}, {"count"}, {"bits"}};
inline constexpr JsonKey kCoilKeys[] = {{"bus", true}, {"coil", true}};
inline constexpr JsonKey kSounderKeys[] = {{"kind", true}, {"name"},    {"bus"},   {"coil"},
                                           {"what"},       {"chip"},    {"line"},  {"active_low"},
                                           {"command"},    {"limit_s"}, {"voice"}, {"on_silence"}};
inline constexpr JsonKey kButtonKeys[] = {{"meaning", true},  {"name"},   {"chip"},        {"line"},
                                          {"active_low"},     {"bias"},   {"debounce_ms"}, {"bus"},
                                          {"discrete_input"}, {"unit_id"}};
inline constexpr JsonKey kLimiterKeys[] = {
    {"place", true}, {"setting_c", true}, {"tested"}, {"test_every_months"}};
inline constexpr auto kAlarmsKeys = [] {
    std::array<JsonKey, kAlarmRules> keys{};
    for (std::size_t i = 0; i < kAlarmRules; ++i) keys[i] = {kAlarmTable[i].name()};
    return keys;
}();
inline constexpr JsonKey kReminderKeys[] = {{"name", true}, {"every_batches"}, {"every_kg"}, {"every_hours"}};
inline constexpr JsonKey kProbesKeys[] = {{"check_every_days"}, {"altitude_m"}, {"largest_correction_c"}};
inline constexpr JsonKey kRecordKeys[] = {{"path", true}, {"raw_months"}, {"budget_mb"}, {"backup"}};
inline constexpr JsonKey kBackupKeys[] = {{"folder", true}, {"every_h"}, {"keep"}, {"same_disk"}};
inline constexpr JsonKey kWebKeys[] = {{"host"}, {"port"}, {"allowed_hosts"}};

/// A section's name is its name under "$defs" of the schema; in `pointer`, * stands for every item of a list.
struct ConfigSection {
    std::string_view name;
    std::string_view pointer;
    std::span<const JsonKey> keys;
};

inline constexpr ConfigSection kPlainSections[] = {
    {"station", "", kRootKeys},
    {"simulated", "/simulated", kSimulatedKeys},
    {"bus", "/buses/*", kBusKeys},
    {"bus_unit", "/buses/*/units/*", kBusUnitKeys},
    {"channel", "/channels/*", kChannelKeys},
    {"modbus", "/channels/*/modbus", kModbusKeys},
    {"text", "/channels/*/text", kTextKeys},
    {"thermocouple", "/channels/*/thermocouple", kThermocoupleKeys},
    {"rtd", "/channels/*/rtd", kRtdKeys},
    {"signal", "/channels/*/signal", kSignalKeys},
    {"pulses", "/channels/*/pulses", kPulsesKeys},
    {"coil", "/sounder", kCoilKeys},
    {"sounder", "/sounders/*", kSounderKeys},
    {"button", "/buttons/*", kButtonKeys},
    {"coil", "/heartbeat", kCoilKeys},
    {"limiter", "/limiter", kLimiterKeys},
    {"alarms", "/alarms", kAlarmsKeys},
    {"advice", "/alarms/drift/advice", kAdviceKeys},
    {"verdict", "/verdict", kToleranceKeys},
    {"reminder", "/reminders/*", kReminderKeys},
    {"probes", "/probes", kProbesKeys},
    {"record", "/record", kRecordKeys},
    {"backup", "/record/backup", kBackupKeys},
    {"web", "/web", kWebKeys},
};

/// With a section for each alarm.
inline constexpr auto kConfigSections = [] {
    std::array<ConfigSection, std::size(kPlainSections) + kAlarmRules> sections{};
    std::copy(std::begin(kPlainSections), std::end(kPlainSections), sections.begin());
    for (std::size_t i = 0; i < kAlarmRules; ++i)
        sections[std::size(kPlainSections) + i] = {kAlarmTable[i].shape, kAlarmTable[i].pointer,
                                                   kAlarmTable[i].keys};
    return sections;
}();

}  // namespace drumwatch
