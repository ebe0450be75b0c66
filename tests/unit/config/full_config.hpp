// A configuration that has every key there is, and is right.
#pragma once

namespace drumwatch {

inline constexpr const char* kFullConfig = R"({
  "station": "Saltmarsh Mill, station 2", "machine": "12 kg drum", "tick_ms": 500, "simulated": {"speed": 4, "stepped": false},
  "buses": [
    {"name": "controller", "kind": "modbus_tcp", "host": "127.0.0.1", "port": 15020, "timeout_ms": 400, "time_register": 3},
    {"name": "logger", "kind": "serial_text", "device": "/dev/serial/by-id/logger", "baud": 9600, "delimiter": ";", "timeout_ms": 3000}],
  "channels": [
    {"name": "bean", "bus": "controller", "unit": "°F", "span": [-4, 752], "max_age_ms": 2000, "scale": 0.1, "offset": -1.5, "probe_lag_ms": 4000,
     "modbus": {"table": "holding", "address": 7, "unit_id": 9, "type": "int32", "order": "CDAB", "open_raw": -1}},
    {"name": "exhaust", "bus": "logger", "unit": "°C", "twin": "inlet", "twin_limit": 6, "text": {"field": 2, "open_text": "---"}},
    {"name": "burner", "bus": "controller", "unit": "%", "modbus": {"table": "input", "address": 65535, "type": "uint16"}}, {"name": "inlet", "bus": "controller", "unit": "°C", "modbus": {"table": "input", "address": 20}}, {"name": "drum", "bus": "controller", "unit": "°C", "modbus": {"table": "input", "address": 21}}, {"name": "tray", "bus": "controller", "unit": "°C", "modbus": {"table": "input", "address": 22}}, {"name": "oxidiser", "bus": "controller", "unit": "°C", "modbus": {"table": "input", "address": 23}}, {"name": "carbon_monoxide", "bus": "controller", "unit": "ppm", "modbus": {"table": "input", "address": 24}}, {"name": "flue", "bus": "controller", "unit": "°C", "scale": 0.001, "modbus": {"table": "input", "address": 31}, "thermocouple": {"type": "N", "cold_junction": "terminals"}}, {"name": "duct", "bus": "controller", "unit": "°C", "modbus": {"table": "input", "address": 32}, "thermocouple": {"type": "J", "cold_junction_c": 25}}, {"name": "terminals", "bus": "controller", "unit": "°C", "max_age_ms": 2500, "modbus": {"table": "input", "address": 33}, "rtd": {"type": "pt1000"}}, {"name": "gas", "bus": "controller", "unit": "mbar", "modbus": {"table": "input", "address": 34}, "signal": {"low": 4, "high": 20, "lower_range_value": 0, "upper_range_value": 60, "fault_below": 3.7, "fault_above": 20.8}}, {"name": "drum_speed", "bus": "controller", "unit": "rpm", "modbus": {"table": "input", "address": 35, "type": "uint32"}, "pulses": {"per_turn": 4, "count": true, "bits": 16}}],
  "sounder": {"bus": "controller", "coil": 4}, "heartbeat": {"bus": "controller", "coil": 5}, "sounder_test_at": "04:15", "chirp_at_start": false, "chime_prompts": true, "buttons": [{"meaning": "acknowledge", "name": "green button", "chip": "/dev/gpiochip0", "line": 22, "active_low": true, "bias": "up", "debounce_ms": 30}, {"meaning": "next_mark", "bus": "controller", "discrete_input": 3, "unit_id": 2}], "reminders": [{"name": "empty the chaff bin", "every_batches": 8}, {"name": "clean the cyclone", "every_kg": 400.5}, {"name": "look into the duct", "every_hours": 80}],
  "limiter": {"place": "bean", "setting_c": 250, "tested": "2026-03-31", "test_every_months": 6},
  "alarms": {
    "bean_high_high": {"limit_c": 235, "deadband_c": 4, "on_delay_s": 2, "off_delay_s": 12, "priority": "high", "latches": false, "advice": {"owner": "floor lead"}},
    "exhaust_high": {"on": true, "limit_c": 300, "deadband_c": 5, "on_delay_s": 6, "off_delay_s": 20, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}},
    "drift": {"on": true, "limit_corridors": 3, "deadband_corridors": 0.5, "on_delay_s": 20, "off_delay_s": 5, "priority": "low", "advice": {"response": "Look at the burner first.", "causes": "a late move", "consequence": "the cup", "time_allowed_s": 45, "owner": "floor lead"}},
    "bean_probe_fault": {"on_delay_s": 1, "off_delay_s": 2, "priority": "low", "bad_readings": 2, "of_readings": 6, "advice": {"owner": "floor lead"}},
    "bus_silent": {"on_delay_s": 4, "off_delay_s": 5, "priority": "high", "advice": {"owner": "floor lead"}},
    "record_failing": {"on_delay_s": 0.5, "off_delay_s": 3, "priority": "low", "advice": {"owner": "floor lead"}}, "inlet_high": {"on": true, "limit_c": 450, "deadband_c": 6, "on_delay_s": 7, "off_delay_s": 21, "priority": "high", "latches": true, "advice": {"owner": "floor lead"}}, "drum_high": {"on": true, "limit_c": 280, "deadband_c": 6, "on_delay_s": 7, "off_delay_s": 21, "priority": "high", "latches": true, "advice": {"owner": "floor lead"}}, "oxidiser_cold": {"on": true, "limit_c": 700, "deadband_c": 6, "on_delay_s": 7, "off_delay_s": 21, "priority": "high", "latches": true, "advice": {"owner": "floor lead"}}, "bean_high": {"on": true, "above_target_c": 8, "deadband_c": 1.5, "on_delay_s": 4, "off_delay_s": 9, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}, "drop_overdue": {"on": true, "above_target_c": 4, "deadband_c": 1.5, "on_delay_s": 4, "off_delay_s": 9, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}, "stall": {"on": true, "rise_c_per_min": 0.5, "deadband_c_per_min": 2, "on_delay_s": 30, "off_delay_s": 31, "priority": "low", "advice": {"owner": "floor lead"}}, "runaway_rise": {"on": true, "above_target_c_per_min": 9, "deadband_c_per_min": 2, "on_delay_s": 30, "off_delay_s": 31, "priority": "low", "advice": {"owner": "floor lead"}}, "flame_out": {"on": true, "fall_c_per_min": 25, "deadband_c_per_min": 2, "on_delay_s": 30, "off_delay_s": 31, "priority": "low", "advice": {"owner": "floor lead"}}, "cooling_slow": {"on": true, "above_ambient_c": 20, "deadband_c": 3, "after_drop_s": 240, "off_delay_s": 11, "priority": "medium", "advice": {"owner": "floor lead"}}, "carbon_monoxide_high": {"limit_ppm": 90, "deadband_ppm": 4, "on_delay_s": 12, "off_delay_s": 40, "advice": {"owner": "floor lead"}}, "carbon_monoxide": {"on": true, "limit_ppm": 30, "deadband_ppm": 3, "on_delay_s": 13, "off_delay_s": 41, "priority": "high", "advice": {"owner": "floor lead"}}, "probe_fault": {"on": true, "on_delay_s": 8, "off_delay_s": 33, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}, "disk_low": {"on": true, "on_delay_s": 8, "off_delay_s": 33, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}, "clock_doubtful": {"on": true, "on_delay_s": 8, "off_delay_s": 33, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}, "processor_hot": {"on": true, "on_delay_s": 8, "off_delay_s": 33, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}, "sounder_failed": {"on": true, "on_delay_s": 8, "off_delay_s": 33, "priority": "low", "latches": true, "advice": {"owner": "floor lead"}}},
  "site_card": "Call the floor lead.",
  "verdict": {"bean_c": 1.2, "hold_c": 2.4, "rise_s": 6, "outside_s": 16, "from_s": 140, "move_s": 11, "end_taste_c": 1.3,
              "end_hold_c": 2.6, "gap_s": 17},
  "record": {"path": "data/watch.sqlite", "raw_months": 6, "budget_mb": 500,
    "backup": {"folder": "stick", "every_h": 12, "keep": 7, "same_disk": true}},
  "web": {"host": "192.168.10.20", "port": 8080, "allowed_hosts": ["station-2.local"]},
  "targets": ["targets/a.json", "/srv/b.json"], "target": "a"
})";

/// The same may have these in the place of its one sounder.
inline constexpr const char* kFullSounders = R"([
    {"kind": "coil", "name": "horn", "bus": "controller", "coil": 4, "what": "red"},
    {"kind": "gpio", "chip": "/dev/gpiochip0", "line": 17, "active_low": true, "voice": 2, "on_silence": "box_dead"},
    {"kind": "command", "command": ["/usr/bin/player", "{priority}", "/srv/alarm.wav"], "limit_s": 2.5}])";

}  // namespace drumwatch
