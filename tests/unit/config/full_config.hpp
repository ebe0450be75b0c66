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
    {"name": "exhaust", "bus": "logger", "unit": "°C", "text": {"field": 2, "open_text": "---"}},
    {"name": "burner", "bus": "controller", "unit": "%", "modbus": {"table": "input", "address": 65535, "type": "uint16"}}],
  "sounder": {"bus": "controller", "coil": 4}, "heartbeat": {"bus": "controller", "coil": 5}, "sounder_test_at": "04:15", "chirp_at_start": false, "buttons": [{"meaning": "acknowledge", "name": "green button", "chip": "/dev/gpiochip0", "line": 22, "active_low": true, "bias": "up", "debounce_ms": 30}, {"meaning": "next_mark", "bus": "controller", "discrete_input": 3, "unit_id": 2}], "reminders": [{"name": "empty the chaff bin", "every_batches": 8}, {"name": "clean the cyclone", "every_kg": 400.5}, {"name": "look into the duct", "every_hours": 80}],
  "limiter": {"place": "bean", "setting_c": 250},
  "alarms": {
    "bean_high_high": {"limit_c": 235, "deadband_c": 4, "on_delay_s": 2, "off_delay_s": 12, "priority": "high", "latches": false},
    "exhaust_high": {"on": true, "limit_c": 300, "deadband_c": 5, "on_delay_s": 6, "off_delay_s": 20, "priority": "low", "latches": true},
    "drift": {"on": true, "limit_corridors": 3, "deadband_corridors": 0.5, "on_delay_s": 20, "off_delay_s": 5, "priority": "low"},
    "bean_probe_fault": {"on_delay_s": 1, "off_delay_s": 2, "priority": "low"},
    "bus_silent": {"on_delay_s": 4, "off_delay_s": 5, "priority": "high"},
    "record_failing": {"on_delay_s": 0.5, "off_delay_s": 3, "priority": "low"}},
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
