// What a site can set of each alarm: one row a rule, which reader, schema and guide are held against.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string_view>

#include "alarms/settings.hpp"
#include "core/channel.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

inline constexpr JsonKey kHighHighKeys[] = {{"limit_c"},  {"deadband_c"}, {"on_delay_s"}, {"off_delay_s"},
                                            {"priority"}, {"latches"},    {"advice"}};
inline constexpr JsonKey kTemperatureLimitKeys[] = {{"on"},         {"limit_c"},     {"deadband_c"},
                                                    {"on_delay_s"}, {"off_delay_s"}, {"priority"},
                                                    {"latches"},    {"advice"}};
inline constexpr JsonKey kAboveTargetKeys[] = {{"on"},         {"above_target_c"}, {"deadband_c"},
                                               {"on_delay_s"}, {"off_delay_s"},    {"priority"},
                                               {"latches"},    {"advice"}};
inline constexpr JsonKey kDriftKeys[] = {{"on"},         {"limit_corridors"}, {"deadband_corridors"},
                                         {"on_delay_s"}, {"off_delay_s"},     {"priority"},
                                         {"advice"}};
inline constexpr JsonKey kStallKeys[] = {{"on"},         {"rise_c_per_min"}, {"deadband_c_per_min"},
                                         {"on_delay_s"}, {"off_delay_s"},    {"priority"},
                                         {"advice"}};
inline constexpr JsonKey kRunawayKeys[] = {{"on"},
                                           {"above_target_c_per_min"},
                                           {"deadband_c_per_min"},
                                           {"on_delay_s"},
                                           {"off_delay_s"},
                                           {"priority"},
                                           {"advice"}};
inline constexpr JsonKey kFallKeys[] = {{"on"},         {"fall_c_per_min"}, {"deadband_c_per_min"},
                                        {"on_delay_s"}, {"off_delay_s"},    {"priority"},
                                        {"advice"}};
inline constexpr JsonKey kCoolingKeys[] = {
    {"on"}, {"above_ambient_c"}, {"deadband_c"}, {"after_drop_s"}, {"off_delay_s"}, {"priority"}, {"advice"}};
inline constexpr JsonKey kGasHighKeys[] = {
    {"limit_ppm"}, {"deadband_ppm"}, {"on_delay_s"}, {"off_delay_s"}, {"advice"}};
inline constexpr JsonKey kGasKeys[] = {{"on"},          {"limit_ppm"}, {"deadband_ppm"}, {"on_delay_s"},
                                       {"off_delay_s"}, {"priority"},  {"advice"}};
inline constexpr JsonKey kProbeFaultKeys[] = {{"on_delay_s"},   {"off_delay_s"}, {"priority"},
                                              {"bad_readings"}, {"of_readings"}, {"advice"}};
inline constexpr JsonKey kFaultKeys[] = {{"on_delay_s"}, {"off_delay_s"}, {"priority"}, {"advice"}};
inline constexpr JsonKey kBoxKeys[] = {{"on"},       {"on_delay_s"}, {"off_delay_s"},
                                       {"priority"}, {"latches"},    {"advice"}};
inline constexpr JsonKey kAdviceKeys[] = {
    {"response"}, {"causes"}, {"consequence"}, {"time_allowed_s"}, {"owner"}};

struct AlarmKeys {
    AlarmRule rule;
    std::string_view pointer;  ///< JSON Pointer of its section, which ends with the rule's name
    std::string_view shape;    ///< under "$defs" of the schema
    std::span<const JsonKey> keys;
    std::string_view limit_key = {};  ///< empty: the rule has no limit
    NumberRange limit = {};
    std::string_view deadband_key = {};
    NumberRange deadband = {};
    std::optional<Role> watches = {};  ///< without that channel there is nothing to judge
    std::string_view delay_key = "on_delay_s";
    double longest_delay_s = 60;
    constexpr std::string_view name() const { return pointer.substr(std::string_view("/alarms/").size()); }
};

/// Indexed by AlarmRule.
inline constexpr std::array<AlarmKeys, kAlarmRules> kAlarmTable{{
    {AlarmRule::bean_high_high,
     "/alarms/bean_high_high",
     "high_high",
     kHighHighKeys,
     "limit_c",
     {150, 300, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::bean},
    {AlarmRule::bean_high,
     "/alarms/bean_high",
     "above_target",
     kAboveTargetKeys,
     "above_target_c",
     {1, 60, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::bean},
    {AlarmRule::exhaust_high,
     "/alarms/exhaust_high",
     "temperature_limit",
     kTemperatureLimitKeys,
     "limit_c",
     {100, 700, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::exhaust},
    {AlarmRule::inlet_high,
     "/alarms/inlet_high",
     "temperature_limit",
     kTemperatureLimitKeys,
     "limit_c",
     {100, 1000, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::inlet},
    {AlarmRule::drum_high,
     "/alarms/drum_high",
     "temperature_limit",
     kTemperatureLimitKeys,
     "limit_c",
     {100, 700, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::drum},
    {AlarmRule::drift,
     "/alarms/drift",
     "drift",
     kDriftKeys,
     "limit_corridors",
     {1, 20, "corridors"},
     "deadband_corridors",
     {0, 1, "corridors"},
     Role::bean},
    {AlarmRule::stall,
     "/alarms/stall",
     "stall",
     kStallKeys,
     "rise_c_per_min",
     {-20, 20, "°C/min"},
     "deadband_c_per_min",
     {0, 20, "°C/min"},
     Role::bean},
    {AlarmRule::runaway_rise,
     "/alarms/runaway_rise",
     "runaway",
     kRunawayKeys,
     "above_target_c_per_min",
     {1, 60, "°C/min"},
     "deadband_c_per_min",
     {0, 20, "°C/min"},
     Role::bean},
    {AlarmRule::drop_overdue,
     "/alarms/drop_overdue",
     "above_target",
     kAboveTargetKeys,
     "above_target_c",
     {0, 60, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::bean},
    {AlarmRule::flame_out,
     "/alarms/flame_out",
     "fall",
     kFallKeys,
     "fall_c_per_min",
     {1, 500, "°C/min"},
     "deadband_c_per_min",
     {0, 200, "°C/min"},
     Role::exhaust},
    {AlarmRule::oxidiser_cold,
     "/alarms/oxidiser_cold",
     "temperature_limit",
     kTemperatureLimitKeys,
     "limit_c",
     {100, 1200, "°C"},
     "deadband_c",
     {0, 100, "°C"},
     Role::oxidiser,
     "on_delay_s",
     600},
    {AlarmRule::cooling_slow,
     "/alarms/cooling_slow",
     "cooling",
     kCoolingKeys,
     "above_ambient_c",
     {1, 100, "°C"},
     "deadband_c",
     {0, 50, "°C"},
     Role::tray,
     "after_drop_s",
     3600},
    {AlarmRule::carbon_monoxide_high,
     "/alarms/carbon_monoxide_high",
     "gas_high",
     kGasHighKeys,
     "limit_ppm",
     {5, 1000, "ppm"},
     "deadband_ppm",
     {0, 100, "ppm"},
     Role::carbon_monoxide},
    {AlarmRule::carbon_monoxide,
     "/alarms/carbon_monoxide",
     "gas",
     kGasKeys,
     "limit_ppm",
     {5, 1000, "ppm"},
     "deadband_ppm",
     {0, 100, "ppm"},
     Role::carbon_monoxide},
    {AlarmRule::bean_probe_fault, "/alarms/bean_probe_fault", "probe_fault", kProbeFaultKeys},
    {AlarmRule::probe_fault, "/alarms/probe_fault", "box", kBoxKeys},
    {AlarmRule::bus_silent, "/alarms/bus_silent", "fault", kFaultKeys},
    {AlarmRule::record_failing, "/alarms/record_failing", "fault", kFaultKeys},
    {AlarmRule::disk_low, "/alarms/disk_low", "box", kBoxKeys},
    {AlarmRule::clock_doubtful, "/alarms/clock_doubtful", "box", kBoxKeys},
    {AlarmRule::processor_hot, "/alarms/processor_hot", "box", kBoxKeys},
    {AlarmRule::sounder_failed, "/alarms/sounder_failed", "box", kBoxKeys},
}};

constexpr const AlarmKeys& alarm_keys(AlarmRule rule) { return kAlarmTable[static_cast<std::size_t>(rule)]; }

static_assert([] {
    for (std::size_t i = 0; i < kAlarmRules; ++i)
        if (static_cast<std::size_t>(kAlarmTable[i].rule) != i) return false;
    return true;
}());

}  // namespace drumwatch
