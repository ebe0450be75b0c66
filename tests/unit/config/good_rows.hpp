// Ways to say it that are right, each in the place of one piece of the full configuration (full_config.hpp):
// neither the reader nor the schema may refuse one.
#pragma once

namespace drumwatch {

struct GoodRow {
    const char* one;  ///< what stands in the full configuration
    const char* other;
};

inline constexpr GoodRow kGoodRows[] = {
    {R"~("host": "192.168.10.20")~", R"~("host": "localhost")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "127.0.0.1")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "10.255.0.9")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "172.31.0.1")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "169.254.7.7")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "::1")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "fd12:3456::7")~"},
    {R"~("host": "192.168.10.20")~", R"~("host": "fe80::1")~"},
    {R"~("unit_id": 9)~", R"~("unit_id": 255)~"},
    {R"~("type": "int32", "order": "CDAB", "open_raw": -1)~", R"~("open_raw": -32768)~"},
    {R"~("type": "int32", "order": "CDAB", "open_raw": -1)~", R"~("type": "float32", "order": "DCBA")~"},
    {R"~("type": "int32", "order": "CDAB", "open_raw": -1)~",
     R"~("type": "uint32", "open_raw": 4294967295)~"},
    {R"~("delimiter": ";")~", R"~("delimiter": "\t")~"},
    {R"~("delimiter": ";")~", R"~("delimiter": " ")~"},
    {R"~("scale": 0.1)~", R"~("scale": -0.1)~"},
    {R"~("on": true, "limit_c": 300, )~", R"~("on": false, )~"},
    {R"~("unit": "%")~", R"~("unit": "")~"},
    {R"~("name": "burner", "bus": "controller", "unit": "%")~",
     R"~("name": "humidity", "bus": "controller", "unit": "g")~"},
    {R"~(, "simulated": {"speed": 4, "stepped": false},
  "buses": [
    {"name": "controller", "kind": "modbus_tcp", "host": "127.0.0.1", "port": 15020, "timeout_ms": 400, "time_register": 3})~",
     R"~(,
  "buses": [
    {"name": "controller", "kind": "modbus_tcp", "host": "127.0.0.1"})~"},
    {R"~("unit": "°F", "span": [-4, 752])~", R"~("unit": "K", "span": [250, 700])~"},
    {R"~("unit": "mbar")~", R"~("unit": "bar")~"},
    {R"~("unit": "ppm")~",
     R"~("unit": "ppm", "signal": {"lower_range_value": 0, "upper_range_value": 300})~"},
    {R"~({"type": "J", "cold_junction_c": 25})~", R"~({"type": "B", "cold_junction_c": 0})~"},
    {R"~("cold_junction": "terminals")~", R"~("cold_junction": "tray")~"},
    {R"~("rtd": {"type": "pt1000"})~", R"~("rtd": {"type": "pt100"})~"},
    {R"~("low": 4, "high": 20, "lower_range_value": 0, "upper_range_value": 60, "fault_below": 3.7, "fault_above": 20.8)~",
     R"~("low": 0, "high": 10, "lower_range_value": 60, "upper_range_value": 0)~"},
    {R"~("per_turn": 4, "count": true, "bits": 16)~", R"~("per_turn": 0.5)~"},
    {R"~({"speed": 4, "stepped": false})~", R"~({"stepped": true})~"},
    {R"~(, "target": "a")~", R"~()~"},
    {R"~("targets": ["targets/a.json", "/srv/b.json"], "target": "a")~", R"~("targets": [])~"},
    {R"~({"place": "bean", "setting_c": 250, "tested": "2026-03-31", "test_every_months": 6})~",
     R"~("none stated")~"},
    {R"~("sounder": {"bus": "controller", "coil": 4})~",
     R"~("sounders": [{"kind": "coil", "bus": "controller", "coil": 4}, {"kind": "coil", "bus": "controller", "coil": 6, "what": "white"},
      {"kind": "gpio", "chip": "/dev/gpiochip0", "line": 17}, {"kind": "command", "command": ["/bin/true"], "voice": 4}])~"},
    {R"~("sounder": {"bus": "controller", "coil": 4})~", R"~("sounders": [])~"},
    {R"~({"name": "look into the duct", "every_hours": 80})~",
     R"~({"name": "look into the duct", "every_hours": 0.5})~"},
    {R"~("sounder_test_at": "04:15")~", R"~("sounder_test_at": "never")~"},
    {R"~("sounder_test_at": "04:15")~", R"~("sounder_test_at": "23:59")~"},
};

}  // namespace drumwatch
