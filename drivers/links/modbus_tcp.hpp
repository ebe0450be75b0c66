// Modbus TCP: channels that are registers, coils for sounder and heartbeat (modbus_poll.hpp says what polling
// is; this is the transport).
//
// libmodbus connects, by one context that the bus's own thread alone uses. Each request and its whole answer
// have the unit's time-out together; connecting has the bus's (resolving a name is the system's affair and
// may take longer: give an address on a site whose name server is far). After a time-out or an answer that is
// not the answer to the question the link is down and closed: a late answer must never be taken for the next
// one.
//
// A silent unit takes its bus with it, for its answer might still come: where several units stand behind one
// gateway that says nothing for a dead one, give each a bus of its own (the same host and port).
//
// libmodbus waits for the connection with select(), which cannot take a descriptor of 1024 or more: open()
// refuses then.
#pragma once

#include <chrono>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

class ModbusTransport;  // modbus_poll.hpp

/// `timeout` is real time.
std::unique_ptr<Driver> make_modbus_tcp(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap tap);
/// The transport alone, for who asks other questions than a poll's.
std::unique_ptr<ModbusTransport> make_tcp_transport(const BusConfig& bus, std::chrono::milliseconds timeout,
                                                    ByteTap tap = {});

}  // namespace drumwatch
