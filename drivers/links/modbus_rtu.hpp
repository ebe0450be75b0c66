// Modbus RTU: several units on one serial line (modbus_poll.hpp says what polling is; this is the transport).
//
// libmodbus opens the port and sets speed, parity and stop bits; the port is ours alone (serial_port.hpp).
// Before each question: the rest of the 3.5 characters' silence since the last byte, the unit's own pause,
// and whatever has come unasked is thrown away. An answer has the unit's time-out, counted from when the
// question's last character has left the wire, and what its own characters take on the wire on top.
//
// RTU has no number of a question. A whole answer with a right CRC that is not to this question is thrown
// away and counted as late when its unit still owes one, and the right one waited for; else it is a fault.
// After a fault the transport waits until the line is quiet; the port stays open. An answer of the same unit
// and the same length to an older question can't be told from the right one here: ModbusUnit sees to that.
//
// A software that switches the direction of an RS-485 pair, or an adapter that echoes what is sent, is not
// supported: take an adapter that switches by itself and does not echo.
//
// A port that is unplugged is Link::down; the name in the configuration is opened again, so give the stable
// one
// (/dev/serial/by-id/).
//
// Source: MODBUS over Serial Line V1.02, sections 2.5.1 and 2.5.1.1.
#pragma once

#include <chrono>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

class ModbusTransport;  // modbus_poll.hpp

/// `timeout` is real time.
std::unique_ptr<Driver> make_modbus_rtu(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap tap);
/// The transport alone, for who asks other questions than a poll's.
std::unique_ptr<ModbusTransport> make_rtu_transport(const BusConfig& bus, ByteTap tap = {});

}  // namespace drumwatch
