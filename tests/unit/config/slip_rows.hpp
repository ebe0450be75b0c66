// Slips that are not JSON, as in bad_rows.hpp: alone, and several in one file together with wrong keys and
// values.
#pragma once

#include "unit/config/bad_rows.hpp"

namespace drumwatch {

inline constexpr BadRow kSlipRows[] = {
    {R"~("tick_ms": 500, )~", R"~("tick_ms": 500 )~", R"~(2:83: not JSON: a comma is missing before this)~"},
    {R"~("machine": "12 kg drum")~", R"~('machine': '12 kg drum')~",
     R"~(2:43: /machine: not JSON: text and keys stand in double quotes
2:54: /machine: not JSON: text and keys stand in double quotes)~"},
    {R"~("target": "a")~", R"~("target": "a",)~", R"~(27:1: not JSON: the comma before this is too much)~"},
    {R"~("tick_ms": 500)~", R"~("tick_ms": 0500)~",
     R"~(2:79: /tick_ms: not JSON: a number has no leading zero)~"},
    {R"~("latches": false)~", R"~("latches": False)~",
     R"~(14:124: /alarms/bean_high_high/latches: not JSON: true, false and null are written in small letters)~"},
    {R"~("web": {"host")~", R"~("web": [{"host")~",
     R"~(26:12: /web: not JSON: a key and its value stand in an object, in braces; what comes after was not looked at, nor were keys and values)~"},
    {R"~("site_card": "Call the floor lead.")~",
     R"~("site_card": "Call
the floor lead.")~",
     R"~(20:16: /site_card: not JSON: text must end on its line with a double quote; a line end within it is written \n; what comes after was not looked at, nor were keys and values)~"},
    {R"~("tick_ms": 500)~", R"~("tick_ms" 500)~",
     R"~(2:78: /tick_ms: not JSON: a colon is missing between key and value)~"},
    {R"~("tick_ms": 500)~", R"~("tick_ms" = 500)~",
     R"~(2:78: /tick_ms: not JSON: a colon is missing between key and value)~"},
    {R"~("scale": 0.1)~", R"~("scale": .1)~",
     R"~(7:105: /channels/0/scale: not JSON: a number needs a digit before its point)~"},
    {R"~("scale": 0.1)~", R"~("scale": +0.1)~",
     R"~(7:105: /channels/0/scale: not JSON: a number has no plus sign)~"},
    {R"~("site_card": "Call the floor lead.")~", R"~("site_card": "Call the floor lead.)~",
     R"~(20:16: /site_card: not JSON: text must end on its line with a double quote; a line end within it is written \n; what comes after was not looked at, nor were keys and values)~"},
    {R"~("latches": true)~", R"~("latches": nope)~",
     R"~(15:133: /alarms/exhaust_high/latches: not JSON: text stands in double quotes
15:133: /alarms/exhaust_high/latches: is text; true or false would be right)~"},
    {R"~("target": "a"
})~",
     R"~("target": "a"
)~",
     R"~(27:1: not JSON: the file ends too early: a bracket, brace or quote is not closed; keys and values were not looked at)~"},
    {R"~("tick_ms": 500,)~", R"~("tick_ms": 500,,)~", R"~(2:83: not JSON: one comma is enough)~"},
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
    {R"~("limiter": {"place": "bean", "setting_c": 250, "tested": "2026-03-31", "test_every_months": 6},)~",
     R"~(limiter: {'place': "bean", "setting": 250},)~",
     R"~(12:3: /limiter: not JSON: a key stands in double quotes
12:12: /limiter/setting_c: is missing and must be given
12:13: /limiter/place: not JSON: text and keys stand in double quotes
12:30: /limiter/setting: is not a known key; did you mean "setting_c"?)~"},
    {R"~("port": 15020, "timeout_ms": 400)~", R"~("port": , "timeout_ms": 40)~",
     R"~(4:79: /buses/0/port: not JSON: a value is missing before this
4:95: /buses/0/timeout_ms: is 40; a number from 50 to 10000 ms would be right)~"},
    {R"~("limit_c": 235, "deadband_c": 4)~", R"~("limit_c", "deadband_c":)~",
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
    {R"~("raw_months": 6, "budget_mb": 500)~", R"~("raw_months": 06, "budget_mb": 5e)~",
     R"~(23:57: /record/raw_months: not JSON: a number has no leading zero
23:74: /record/budget_mb: not JSON: text stands in double quotes
23:74: /record/budget_mb: is text; a number from 50 to 10000000 MB would be right)~"},
    {R"~("bean_c": 1.2, "hold_c": 2.4, "rise_s": 6)~", R"~("bean_c": 1,2; "hold_c": 1. "rise_s": six)~",
     R"~(21:26: /verdict: not JSON: a number has a decimal point, not a comma
21:28: /verdict: not JSON: a comma stands between two, not a semicolon
21:40: /verdict/hold_c: not JSON: a number needs a digit after its point
21:40: /verdict/hold_c: is 1 and narrower than bean_c, 1.2: it must be at least that wide
21:43: /verdict: not JSON: a comma is missing before this
21:53: /verdict/rise_s: not JSON: text stands in double quotes
21:53: /verdict/rise_s: is text; a number from 0 to 600 s would be right)~"},
    {R"~("span": [-4, 752], "max_age_ms": 2000)~", R"~("span": [-4; 752,], "max_age_ms": 2000 ms)~",
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
    {R"~("setting_c": 250, "tested": "2026-03-31", "test_every_months": 6},)~", R"~("setting": 250}},)~",
     R"~(12:48: not JSON: everything is closed before this: one closing brace may be too many; what comes after was not looked at, nor were keys and values)~"},
    {R"~("order": "CDAB", "open_raw": -1}},)~", R"~("order": "CDAB" "open_raw": -1]},)~",
     R"~(8:98: /channels/0/modbus: not JSON: a comma is missing before this
8:112: /channels/0/modbus: not JSON: an object ends with a brace, not with a bracket; what comes after was not looked at, nor were keys and values)~"},
    {R"~("allowed_hosts": ["station-2.local"]},)~", R"~("allowed_hosts": [station-2.local, {"port" 1}},)~",
     R"~(25:68: /web/allowed_hosts/0: not JSON: text stands in double quotes
25:93: /web/allowed_hosts/1/port: not JSON: a colon is missing between key and value
25:95: /web/allowed_hosts: not JSON: a list ends with a bracket, not with a brace; what comes after was not looked at, nor were keys and values)~"},
    {R"~("bean_c": 1.2, "hold_c": 2.4,)~", R"~("bean_c" 1.2, "hold_c: 2.4,)~",
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
