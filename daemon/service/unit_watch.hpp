// Units of one bus that do not answer while others on it do: said once when it is sure, and once when they
// are back. Their probes have alarms; this says where to look. PURE, one thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/channel.hpp"
#include "core/tick.hpp"
#include "drivers/bus.hpp"
#include "drivers/driver.hpp"

namespace drumwatch {

class UnitWatch {
  public:
    UnitWatch() = default;  ///< of nothing
    /// Other buses than those of Modbus have no units.
    UnitWatch(const BusConfig& bus, const ChannelTable& channels);
    /// A poll's outcome. One that found the link down says nothing of the units.
    void take(const PollOutcome& outcome);
    /// Which are dead now: for a second and two polls. Gives a sentence for each that was not, and for each
    /// that is back.
    std::vector<std::string> judge(Tick now);
    std::vector<std::string> complaints() const;  ///< one a dead unit, with what to look at first

  private:
    struct Unit {
        std::uint8_t unit_id = 0;
        std::string words;  ///< `bus line, unit 2 (inlet, drum)`
        std::vector<std::uint8_t> channels;
        LinkFault fault = LinkFault::none;  ///< why the newest poll had nothing of it
        int missed = 0;                     ///< polls in a row
        std::optional<Tick> since;
        bool dead = false;
    };
    static std::string complaint(const Unit& unit);

    std::vector<Unit> units_;
};

}  // namespace drumwatch
