// Modbus TCP: channels that are registers, coils for sounder and heartbeat.
//
// One context of libmodbus, used by the bus's own thread only. Each request and its whole answer have
// `timeout` together; connecting has it too (resolving a name is the system's affair and may take longer:
// give an address on a site whose name server is far). After a time-out or an answer that is not the answer
// to the question the link is down and closed: a late answer must never be taken for the next one. An
// exception of the device leaves the link up and makes the channels of that request a bad reply. Error
// recovery of the library is off: it would repeat without end inside a call.
//
// A silent unit takes its bus with it, for its answer might still come: where several units stand behind one
// gateway that says nothing for a dead one, give each a bus of its own (the same host and port).
//
// libmodbus waits with select(), which cannot take a descriptor of 1024 or more: open() refuses then.
// NaN and infinity are a bad reply.
#pragma once

#include <chrono>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

/// `timeout` is real time.
std::unique_ptr<Driver> make_modbus_tcp(const BusConfig& bus, std::chrono::milliseconds timeout);

}  // namespace drumwatch
