// A device that prints lines of text on a serial line, by itself: numbers between delimiters.
//
// 8 data bits, no parity, one stop bit, no flow control; `baud` from the configuration. The port is locked
// (flock, then TIOCEXCL) and close-on-exec. A poll gives the readings of the newest complete line that has
// come since the poll before, and no readings when none has; it returns at once when a line is waiting and
// waits at most kBriefWait otherwise. No complete line for longer than `timeout`: Link::down ("says
// nothing"). End of file or an error of the port (adapter unplugged): Link::down. The first, perhaps cut,
// line after opening is thrown away. A field that is missing or no number is a bad reply.
//
// Source: termios and tty_ioctl of Linux; the line format is the device maker's.
#pragma once

#include <chrono>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

std::unique_ptr<Driver> make_serial_text(const BusConfig& bus, std::chrono::milliseconds timeout);

}  // namespace drumwatch
