// Mistakes that people make, each with all that is said of it: line and column, JSON Pointer, what is wrong and what
// would be right. Each row changes one piece of the full configuration (full_config.hpp).
#pragma once

namespace drumwatch {

struct BadRow {
    const char* right;  ///< what stands in the full configuration
    const char* wrong;  ///< what stands there instead
    const char* says;   ///< every line, after the file's name
};

inline constexpr BadRow kBadRows[] = {
    {R"~("station": "Saltmarsh Mill, station 2")~",
     R"~("staton": "Saltmarsh Mill, station 2")~",
     R"~(1:1: /station: is missing and must be given
2:3: /staton: is not a known key; did you mean "station"?)~"},
    {R"~("machine": "12 kg drum")~",
     R"~("machine": 12)~",
     R"~(2:54: /machine: is a number; text in quotes would be right)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick_ms": "500")~",
     R"~(2:79: /tick_ms: is text; a number from 100 to 1000 ms would be right)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick_ms": 300)~",
     R"~(2:79: /tick_ms: is 300; 100, 125, 200, 250, 500 or 1000 ms would be right)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick": 500)~",
     R"~(2:68: /tick: is not a known key; did you mean "tick_ms"?)~"},
    {R"~("speed": 4)~",
     R"~("speed": 40)~",
     R"~(2:107: /simulated/speed: is 40; a number from 1 to 20 times would be right)~"},
    {R"~("stepped": false)~",
     R"~("stepped": "no")~",
     R"~(2:121: /simulated/stepped: is text; true or false would be right)~"},
    {R"~("kind": "modbus_tcp")~",
     R"~("kind": "modbus_tpc")~",
     R"~(4:36: /buses/0/kind: is "modbus_tpc"; did you mean "modbus_tcp"? "modbus_tcp" or "serial_text" would be right)~"},
    {R"~("kind": "modbus_tcp")~",
     R"~("kind": "tcp")~",
     R"~(4:36: /buses/0/kind: is "tcp"; "modbus_tcp" or "serial_text" would be right)~"},
    {R"~("host": "127.0.0.1")~",
     R"~("hots": "127.0.0.1")~",
     R"~(4:5: /buses/0/host: is missing; a modbus_tcp bus needs it
4:50: /buses/0/hots: is not a known key; did you mean "host"?)~"},
    {R"~("host": "127.0.0.1")~",
     R"~("host": "")~",
     R"~(4:58: /buses/0/host: must be 1 to 253 bytes of text on one line)~"},
    {R"~("port": 15020)~",
     R"~("port": 70000)~",
     R"~(4:79: /buses/0/port: is 70000; a number from 1 to 65535 would be right)~"},
    {R"~("port": 15020)~",
     R"~("port": 15020.5)~",
     R"~(4:79: /buses/0/port: is 15020.5; a whole number from 1 to 65535 would be right)~"},
    {R"~("port": 15020)~",
     R"~("port": -1)~",
     R"~(4:79: /buses/0/port: is -1; a number from 1 to 65535 would be right)~"},
    {R"~("timeout_ms": 400)~",
     R"~("timeout_ms": 0)~",
     R"~(4:100: /buses/0/timeout_ms: is 0; a number from 50 to 10000 ms would be right)~"},
    {R"~("baud": 9600)~",
     R"~("baud": 9601)~",
     R"~(5:93: /buses/1/baud: is 9601; 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200 or 230400 would be right)~"},
    {R"~("delimiter": ";")~",
     R"~("delimiter": ";;")~",
     R"~(5:112: /buses/1/delimiter: is ";;"; one character that no number has, such as ",", ";" or "\t", would be right)~"},
    {R"~("name": "logger")~",
     R"~("name": "controller")~",
     R"~(5:14: /buses/1/name: "controller" names another bus already
9:32: /channels/1/bus: there is no bus "logger"; the buses are "controller" or "controller")~"},
    {R"~("name": "exhaust")~",
     R"~("name": "bean")~",
     R"~(9:14: /channels/1/name: "bean" names another channel already
15:21: /alarms/exhaust_high: no channel is called "exhaust": there is nothing to watch)~"},
    {R"~("name": "exhaust")~",
     R"~("name": "Exhaust Gas")~",
     R"~(9:14: /channels/1/name: must be lower-case letters, digits and underscores, a letter first
15:21: /alarms/exhaust_high: no channel is called "exhaust": there is nothing to watch)~"},
    {R"~("bus": "logger", "unit")~",
     R"~("bus": "loger", "unit")~",
     R"~(9:32: /channels/1/bus: there is no bus "loger"; did you mean "logger"?)~"},
    {R"~("unit": "°C")~",
     R"~("unit": "C")~",
     R"~(9:50: /channels/1/unit: is "C"; "°C", "°F", "%", "rpm", "kPa", "ppm", "g" or "" would be right)~"},
    {R"~("unit": "°C")~",
     R"~("unit": "celsius")~",
     R"~(9:50: /channels/1/unit: is "celsius"; "°C", "°F", "%", "rpm", "kPa", "ppm", "g" or "" would be right)~"},
    {R"~("span": [-4, 752])~",
     R"~("span": [752, -4])~",
     R"~(7:65: /channels/0/span: must be [lowest, highest] of what the probe can read, in the channel's unit)~"},
    {R"~("span": [-4, 752])~",
     R"~("span": [-4])~",
     R"~(7:65: /channels/0/span: has 1 entries; 2 would be right)~"},
    {R"~("max_age_ms": 2000)~",
     R"~("max_age_ms": 1e9)~",
     R"~(7:90: /channels/0/max_age_ms: is 1000000000; a number from 500 to 60000 ms would be right)~"},
    {R"~("scale": 0.1)~",
     R"~("scale": 0)~",
     R"~(7:105: /channels/0/scale: is 0 and would make every value the same)~"},
    {R"~("table": "holding")~",
     R"~("table": "holdings")~",
     R"~(8:26: /channels/0/modbus/table: is "holdings"; did you mean "holding"? "input" or "holding" would be right)~"},
    {R"~("address": 7)~",
     R"~("address": 40007.5)~",
     R"~(8:48: /channels/0/modbus/address: is 40007.5; a whole number from 0 to 65534 would be right)~"},
    {R"~("address": 65535)~",
     R"~("address": 65536)~",
     R"~(10:98: /channels/2/modbus/address: is 65536; 0 to 65535 would be right, counted from 0 as on the wire (a manual's input register 300001 is table "input", address 0))~"},
    {R"~("unit_id": 9)~",
     R"~("unit_id": 300)~",
     R"~(8:62: /channels/0/modbus/unit_id: is 300; a number from 1 to 255 would be right)~"},
    {R"~("type": "int32")~",
     R"~("type": "int23")~",
     R"~(8:73: /channels/0/modbus/type: is "int23"; did you mean "int16"? "int16", "uint16", "int32", "uint32" or "float32" would be right
8:91: /channels/0/modbus/order: has no meaning for a value of one register; leave it out)~"},
    {R"~("order": "CDAB")~",
     R"~("order": "CDBA")~",
     R"~(8:91: /channels/0/modbus/order: is "CDBA"; did you mean "CDAB"? "ABCD", "CDAB", "BADC" or "DCBA" would be right)~"},
    {R"~("open_raw": -1)~",
     R"~("open_raw": "-1")~",
     R"~(8:111: /channels/0/modbus/open_raw: is text; a number from -2147483648 to 2147483647 would be right)~"},
    {R"~("modbus": {"table": "input")~",
     R"~("text": {"table": "input")~",
     R"~(10:5: /channels/2/modbus: is missing; a channel on bus "controller" needs it
10:66: /channels/2/text/field: is missing and must be given
10:66: /channels/2/text: has no meaning on bus "controller"; leave it out
10:67: /channels/2/text/table: is not a known key; the keys here are "field" or "open_text"
10:85: /channels/2/text/address: is not a known key; the keys here are "field" or "open_text"
10:103: /channels/2/text/type: is not a known key; the keys here are "field" or "open_text")~"},
    {R"~("field": 2)~",
     R"~("field": 0)~",
     R"~(9:74: /channels/1/text/field: is 0; a number from 1 to 64 would be right)~"},
    {R"~("coil": 5)~",
     R"~("coil": 4)~",
     R"~(11:91: /heartbeat/coil: the sounder is on this coil already; each needs one of its own)~"},
    {R"~("sounder": {"bus": "controller")~",
     R"~("sounder": {"bus": "controler")~",
     R"~(11:22: /sounder/bus: there is no bus "controler"; did you mean "controller"?)~"},
    {R"~("setting_c": 250)~",
     R"~("setting_c": 230)~",
     R"~(14:35: /alarms/bean_high_high/limit_c: is 235 °C and must be below the limiter's setting at the bean probe, 230 °C)~"},
    {R"~("limiter": {"place": "bean", "setting_c": 250})~",
     R"~("limiter": "nothing")~",
     R"~(12:14: /limiter: must be "none stated", or where the machine's independent high-limit control measures and what it is set to: {"place": "bean", "setting_c": 250})~"},
    {R"~(  "limiter": {"place": "bean", "setting_c": 250},
)~",
     R"~()~",
     R"~(1:1: /limiter: is missing and must be given)~"},
    {R"~("limit_c": 235)~",
     R"~("limit": 235)~",
     R"~(14:24: /alarms/bean_high_high/limit: is not a known key; did you mean "limit_c"?)~"},
    {R"~("limit_c": 235)~",
     R"~("limit_c": 2350)~",
     R"~(14:35: /alarms/bean_high_high/limit_c: is 2350; a number from 150 to 300 °C would be right)~"},
    {R"~("deadband_c": 4)~",
     R"~("deadband_c": -4)~",
     R"~(14:54: /alarms/bean_high_high/deadband_c: is -4; a number from 0 to 50 °C would be right)~"},
    {R"~("priority": "high", "latches": false)~",
     R"~("priority": "highest", "latches": false)~",
     R"~(14:105: /alarms/bean_high_high/priority: is "highest"; "high", "medium" or "low" would be right)~"},
    {R"~("latches": false)~",
     R"~("latches": 0)~",
     R"~(14:124: /alarms/bean_high_high/latches: is a number; true or false would be right)~"},
    {R"~("limit_corridors": 3)~",
     R"~("limit_corridors": 0)~",
     R"~(16:46: /alarms/drift/limit_corridors: is 0; a number from 1 to 20 corridors would be right)~"},
    {R"~("exhaust_high": {)~",
     R"~("exhaust_hi": {)~",
     R"~(15:5: /alarms/exhaust_hi: is not a known key; did you mean "exhaust_high"?)~"},
    {R"~("bean_c": 1.2)~",
     R"~("bean_c": -1.2)~",
     R"~(21:25: /verdict/bean_c: is -1.2; a number from 0.1 to 50 °C would be right)~"},
    {R"~("hold_c": 2.4)~",
     R"~("hold_c": 1.0)~",
     R"~(21:40: /verdict/hold_c: is 1 and narrower than bean_c, 1.2: it must be at least that wide)~"},
    {R"~("path": "data/watch.sqlite")~",
     R"~("path": "")~",
     R"~(23:22: /record/path: must be 1 to 1024 bytes of text on one line)~"},
    {R"~("budget_mb": 500)~",
     R"~("budget_mb": 5)~",
     R"~(23:73: /record/budget_mb: is 5; a number from 50 to 10000000 MB would be right)~"},
    {R"~("raw_months": 6)~",
     R"~("raw_month": 6)~",
     R"~(23:43: /record/raw_month: is not a known key; did you mean "raw_months"?)~"},
    {R"~("port": 8080)~",
     R"~("port": 80800)~",
     R"~(25:44: /web/port: is 80800; a number from 0 to 65535 would be right)~"},
    {R"~("host": "192.168.10.20")~",
     R"~("host": "0.0.0.0")~",
     R"~(25:19: /web/host: is "0.0.0.0"; a loopback or private address of this box would be right, such as 127.0.0.1 or 192.168.1.20: the page is for the roastery's own network)~"},
    {R"~("allowed_hosts": ["station-2.local"])~",
     R"~("allowed_hosts": "station-2.local")~",
     R"~(25:67: /web/allowed_hosts: is text; a list in brackets would be right)~"},
    {R"~("targets": ["targets/a.json", "/srv/b.json"])~",
     R"~("targets": "targets/a.json")~",
     R"~(26:14: /targets: is text; a list in brackets would be right
26:42: /target: names a target, but "targets" lists no file)~"},
    {R"~("tick_ms": 500, )~",
     R"~("tick_ms": 500 )~",
     R"~(2:83: not JSON: a comma is missing before this)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick_ms": 500, "tick_ms": 250)~",
     R"~(2:84: /tick_ms: is there twice; keep one)~"},
    {R"~("machine": "12 kg drum")~",
     R"~('machine': '12 kg drum')~",
     R"~(2:43: /machine: not JSON: text and keys stand in double quotes
2:54: /machine: not JSON: text and keys stand in double quotes)~"},
    {R"~("target": "a")~",
     R"~("target": "a",)~",
     R"~(27:1: not JSON: the comma before this is too much)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick_ms": 0500)~",
     R"~(2:79: /tick_ms: not JSON: a number has no leading zero)~"},
    {R"~("latches": false)~",
     R"~("latches": False)~",
     R"~(14:124: /alarms/bean_high_high/latches: not JSON: true, false and null are written in small letters)~"},
    {R"~("web": {"host")~",
     R"~("web": [{"host")~",
     R"~(26:12: /web: not JSON: a key and its value stand in an object, in braces; what comes after was not looked at, nor were keys and values)~"},
    {R"~("site_card": "Call the floor lead.")~",
     R"~("site_card": "Call
the floor lead.")~",
     R"~(20:16: /site_card: not JSON: text must end on its line with a double quote; a line end within it is written \n; what comes after was not looked at, nor were keys and values)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick_ms" 500)~",
     R"~(2:78: /tick_ms: not JSON: a colon is missing between key and value)~"},
    {R"~("tick_ms": 500)~",
     R"~("tick_ms" = 500)~",
     R"~(2:78: /tick_ms: not JSON: a colon is missing between key and value)~"},
    {R"~("scale": 0.1)~",
     R"~("scale": .1)~",
     R"~(7:105: /channels/0/scale: not JSON: a number needs a digit before its point)~"},
    {R"~("scale": 0.1)~",
     R"~("scale": +0.1)~",
     R"~(7:105: /channels/0/scale: not JSON: a number has no plus sign)~"},
    {R"~("site_card": "Call the floor lead.")~",
     R"~("site_card": "Call the floor lead.)~",
     R"~(20:16: /site_card: not JSON: text must end on its line with a double quote; a line end within it is written \n; what comes after was not looked at, nor were keys and values)~"},
    {R"~("latches": true)~",
     R"~("latches": nope)~",
     R"~(15:133: /alarms/exhaust_high/latches: not JSON: text stands in double quotes
15:133: /alarms/exhaust_high/latches: is text; true or false would be right)~"},
    {R"~("target": "a"
})~",
     R"~("target": "a"
)~",
     R"~(27:1: not JSON: the file ends too early: a bracket, brace or quote is not closed; keys and values were not looked at)~"},
    {R"~("tick_ms": 500,)~",
     R"~("tick_ms": 500,,)~",
     R"~(2:83: not JSON: one comma is enough)~"},
    {R"~("order": "CDAB")~",
     R"~("order": "cdab")~",
     R"~(8:91: /channels/0/modbus/order: is "cdab"; "ABCD", "CDAB", "BADC" or "DCBA" would be right)~"},
    {R"~("unit": "%")~",
     R"~("unit": "pct")~",
     R"~(10:53: /channels/2/unit: is "pct"; "°C", "°F", "%", "rpm", "kPa", "ppm", "g" or "" would be right)~"},
    // Several in one file: what can be taken as meant is, and the rest is looked at.
    {R"~("tick_ms": 500, "simulated": {"speed": 4, "stepped": false},
  "buses": [)~",
     R"~("tick_ms": 500 "simulated": {"speed": 4,, "stepped": "no",}
  "buses": [)~",
     R"~(2:83: not JSON: a comma is missing before this
2:108: /simulated: not JSON: one comma is enough
2:121: /simulated/stepped: is text; true or false would be right
2:126: /simulated: not JSON: the comma before this is too much
3:3: not JSON: a comma is missing before this)~"},
    {R"~("limiter": {"place": "bean", "setting_c": 250},)~",
     R"~(limiter: {'place': "bean", "setting": 250},)~",
     R"~(12:3: /limiter: not JSON: a key stands in double quotes
12:12: /limiter/setting_c: is missing and must be given
12:13: /limiter/place: not JSON: text and keys stand in double quotes
12:30: /limiter/setting: is not a known key; did you mean "setting_c"?)~"},
    {R"~("port": 15020, "timeout_ms": 400)~",
     R"~("port": , "timeout_ms": 40)~",
     R"~(4:79: /buses/0/port: not JSON: a value is missing before this
4:95: /buses/0/timeout_ms: is 40; a number from 50 to 10000 ms would be right)~"},
    {R"~("limit_c": 235, "deadband_c": 4)~",
     R"~("limit_c", "deadband_c":)~",
     R"~(14:33: /alarms/bean_high_high/limit_c: not JSON: a colon and a value are missing before this
14:48: /alarms/bean_high_high/deadband_c: not JSON: a value is missing before this)~"},
    {R"~(  "site_card": "Call the floor lead.",
)~",
     R"~(  # the site's own
  "site_card": “Call the floor lead.”, # by the door
)~",
     R"~(20:3: not JSON: a comment begins with //
21:16: /site_card: not JSON: text and keys stand in double quotes
21:40: not JSON: a comment begins with //)~"},
    {R"~("raw_months": 6, "budget_mb": 500)~",
     R"~("raw_months": 06, "budget_mb": 5e)~",
     R"~(23:57: /record/raw_months: not JSON: a number has no leading zero
23:74: /record/budget_mb: not JSON: text stands in double quotes
23:74: /record/budget_mb: is text; a number from 50 to 10000000 MB would be right)~"},
    {R"~("bean_c": 1.2, "hold_c": 2.4, "rise_s": 6)~",
     R"~("bean_c": 1,2; "hold_c": 1. "rise_s": six)~",
     R"~(21:26: /verdict: not JSON: a number has a decimal point, not a comma
21:28: /verdict: not JSON: a comma stands between two, not a semicolon
21:40: /verdict/hold_c: not JSON: a number needs a digit after its point
21:40: /verdict/hold_c: is 1 and narrower than bean_c, 1.2: it must be at least that wide
21:43: /verdict: not JSON: a comma is missing before this
21:53: /verdict/rise_s: not JSON: text stands in double quotes
21:53: /verdict/rise_s: is text; a number from 0 to 600 s would be right)~"},
    {R"~("span": [-4, 752], "max_age_ms": 2000)~",
     R"~("span": [-4; 752,], "max_age_ms": 2000 ms)~",
     R"~(7:68: /channels/0/span: not JSON: a comma stands between two, not a semicolon
7:74: /channels/0/span: not JSON: the comma before this is too much
7:96: /channels/0: not JSON: this does not belong here: a comma or a closing brace would be right)~"},
    {R"~("on": true, "limit_c": 300, "deadband_c": 5)~",
     R"~("on": yes, "limit_c": 300 C, "deadband_c": NULL)~",
     R"~(15:28: /alarms/exhaust_high/on: not JSON: text stands in double quotes
15:28: /alarms/exhaust_high/on: is text; true or false would be right
15:48: /alarms/exhaust_high: not JSON: this does not belong here: a comma or a closing brace would be right
15:65: /alarms/exhaust_high/deadband_c: not JSON: true, false and null are written in small letters
15:65: /alarms/exhaust_high/deadband_c: is null; a number from 0 to 50 °C would be right)~"},
    {R"~("device": "/dev/serial/by-id/logger", "baud": 9600, "delimiter": ";")~",
     R"~("device": /dev/serial/by-id/logger, "baud": 9601, "delimiter": "	")~",
     R"~(5:57: /buses/1/device: not JSON: text stands in double quotes
5:91: /buses/1/baud: is 9601; 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200 or 230400 would be right
5:110: /buses/1/delimiter: not JSON: a tab or another control character in text is written as \t)~"},
    {R"~("target": "a"
})~",
     R"~("target": a
}})~",
     R"~(26:59: /target: not JSON: text stands in double quotes
27:2: not JSON: this is too much: everything is closed already)~"},
    {R"~("setting_c": 250},)~",
     R"~("setting": 250}},)~",
     R"~(12:48: not JSON: everything is closed before this: one closing brace may be too many; what comes after was not looked at, nor were keys and values)~"},
    {R"~("order": "CDAB", "open_raw": -1}},)~",
     R"~("order": "CDAB" "open_raw": -1]},)~",
     R"~(8:98: /channels/0/modbus: not JSON: a comma is missing before this
8:112: /channels/0/modbus: not JSON: an object ends with a brace, not with a bracket; what comes after was not looked at, nor were keys and values)~"},
    {R"~("allowed_hosts": ["station-2.local"]},)~",
     R"~("allowed_hosts": [station-2.local, {"port" 1}},)~",
     R"~(25:68: /web/allowed_hosts/0: not JSON: text stands in double quotes
25:93: /web/allowed_hosts/1/port: not JSON: a colon is missing between key and value
25:95: /web/allowed_hosts: not JSON: a list ends with a bracket, not with a brace; what comes after was not looked at, nor were keys and values)~"},
    {R"~("bean_c": 1.2, "hold_c": 2.4,)~",
     R"~("bean_c" 1.2, "hold_c: 2.4,)~",
     R"~(21:24: /verdict/bean_c: not JSON: a colon is missing between key and value
21:29: /verdict: not JSON: a double quote is missing at one end, or one within is not written \"; what comes after was not looked at, nor were keys and values)~"},
    {R"~("channels": [
)~",
     R"~("channels": [,
/* the probes
)~",
     R"~(6:16: /channels: not JSON: this comma is too much
7:1: not JSON: a comment that begins with /* ends with */; what comes after was not looked at, nor were keys and values)~"},
};

}  // namespace drumwatch
