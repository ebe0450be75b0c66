// One line of text into readings, by what the configuration says of it.
//
// PURE; any thread; no allocation. Nothing here fails: what can't be read has the quality that says so, and
// no value; a line touches no channel but its own.
//
// A line is fields between delimiters; blanks round a field mean nothing, and with a blank as delimiter a run
// of blanks is one. A channel's field is the one with its number, or the one that is `key=value` or
// `key:value`; a key that stands twice is unreadable. A field is a decimal number with a point
// (`decimal_comma`: a comma), whatever the locale, and after it the channel's `suffix`, which must be there:
// a line whose end was lost then gives no wrong number. `fields` guards against one whose beginning was lost.
//
// Checksums: of the line's bytes before its last `*`, without a `$` at its beginning; behind the `*`
// hexadecimal digits of either case and nothing else.
//   xor    two digits: all bytes exclusive-or'ed (as in NMEA 0183)
//   sum    two digits: all bytes added, modulo 256
//   crc16  four digits, high first: the CRC of Modbus RTU (polynomial 8005h reflected, start FFFFh; its check
//          value for "123456789" is 4B37)
// The fields are those of the same bytes. A line that fails its checksum, or has another number of fields
// than stated, gives no value to anybody.
#pragma once

#include <string_view>

#include "core/reading.hpp"
#include "drivers/bus.hpp"
#include "drivers/link_fault.hpp"
#include "drivers/raw_value.hpp"

namespace drumwatch {

struct TextLine {
    std::string_view body;              ///< without checksum; points into the line
    LinkFault fault = LinkFault::none;  ///< of the line as a whole
};

TextLine open_line(const BusConfig& bus, std::string_view line);

struct TextValue {
    Reading reading;
    LinkFault fault = LinkFault::none;
    std::string_view text;  ///< the field as it came, or nothing
};

/// `source.text` must be set.
TextValue read_text(const ChannelSource& source, const BusConfig& bus, const TextLine& line);
RawValue raw_of(const TextValue& value);

}  // namespace drumwatch
