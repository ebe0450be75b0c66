// A device that prints lines of text on a serial line, by itself or when it is sent a command: numbers
// between delimiters (text_line.hpp says what is read of a line).
//
// 8 data bits, no parity, one stop bit, no flow control; `baud` from the configuration. The port is ours
// alone (serial_port.hpp).
//
// By itself: a poll gives the readings of the newest complete line that has come since the poll before, and
// no readings when none has; it returns at once when a line is waiting and waits at most kBriefWait
// otherwise. No complete line for longer than `timeout`: Link::down ("says nothing"); until a line has come
// again, a poll then waits for it up to `timeout` and is Link::down without one.
//
// By command (`poll`): a poll sends it once and waits for one line, at most `timeout`; then Link::down. What
// comes before the command is sent is thrown away.
//
// Bytes without a line end are Link::down too, but the host tries again soon (PollOutcome::talks). End of
// file or an error of the port (adapter unplugged): Link::down. The first, perhaps cut, line after opening is
// thrown away. A line that fails as a whole, and a field that is missing or no number, is a bad reply.
//
// Source: termios and tty_ioctl of Linux; the line format is the device maker's.
#pragma once

#include <chrono>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

std::unique_ptr<Driver> make_serial_text(const BusConfig& bus, std::chrono::milliseconds timeout,
                                         ByteTap tap);

}  // namespace drumwatch
