// The live process: drivers, tick, engine, record, sounder and web server of one station, wired together.
//
// Threads: core (whoever calls run()), one a bus, one for sounders and buttons of the box (if there are any),
// recorder, query, web (and run's log, so that a stalled journal delays no tick). The core thread owns
// engine, readings and outputs; everything else posts to it. Nothing that a disk or a browser does delays a
// tick.
#pragma once

#include <cstddef>
#include <memory>
#include <string>

#include "config/config.hpp"
#include "core/result.hpp"
#include "service/bus_witness.hpp"

namespace drumwatch {

class LiveStation {
  public:
    /// Opens the record, reads the targets, binds the web server: all or nothing. The error is a sentence for
    /// a person.
    /// What `witness` calls must outlive it.
    static Result<std::unique_ptr<LiveStation>> open(const Config& config, const BusWitness& witness = {});
    virtual ~LiveStation() = default;

    virtual std::uint16_t web_port() const = 0;
    /// What opening found (the record, what was interrupted), a sentence each.
    virtual const std::vector<std::string>& found() const = 0;
    /// Until SIGINT or SIGTERM. Leaves the outputs off and the record closed.
    virtual void run() = 0;
};

}  // namespace drumwatch
