// A day of made batches at a station as its engine is told it: frames of the tick's grid with what is missing
// and stale, people's commands, the box's observations; and one trouble injected into one of its roasts.
// Between batches the drum comes back to the next charge's temperature. Probes that the machine of plant.hpp
// does not have (inlet, tray, ambient, oxidiser, carbon monoxide) are plain laws of their own; judgement, no
// source.
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "core/command.hpp"
#include "core/observation.hpp"
#include "support/made_roasts/made_station.hpp"

namespace drumwatch {

enum class Trouble : std::uint8_t {
    late_move,      ///< a planned burner move is made 60 s late or later, and nobody trims
    stall,          ///< the flame gives less and less of what the burner is set to
    runaway,        ///< ... more and more
    open_probe,     ///< the bean probe's circuit opens and stays open
    frozen_probe,   ///< the bean probe's reading stands still
    dead_bus,       ///< the bus of the machine's probes does not answer any more
    full_disk,      ///< nearly full, then nothing can be written
    cold_oxidiser,  ///< falls below its permit's temperature while roasting
    slow_cooling,   ///< the tray's fan moves hardly any air
    wrong_charge,   ///< half of the mass
    leap,           ///< bean and exhaust rise by 80 degrees in 20 s, as in a chaff fire
};
inline constexpr int kTroubles = 11;
std::string_view name(Trouble trouble);

struct MadeRoast {
    BatchPlan plan;
    BatchTruth truth;
    Tick charge;
    Tick drop;
};

struct MadeDay {
    Begin begin;
    std::vector<Frame> frames;  ///< one a tick, from 0 on
    std::vector<Command> commands;
    std::vector<Observation> observations;  ///< both in order of their ticks
    std::vector<MadeRoast> roasts;
    int turned_away = 0;  ///< batches that were no good ones, and are not in it
    Tick trouble_at;      ///< its onset; the move's time, the drop that begins the cooling, the wrong charge
};

/// Degrees that a leap adds, so long after its onset.
double leap_c(double since_s);
/// The machine's own probes and controls share a bus.
bool on_machine_bus(Role role);

/// A whole good day, or the first batches of it.
MadeDay good_day(const MadeStation& station, int batches = kBatchesADay);
/// The station gets what the trouble needs: a tray probe, an oxidiser.
MadeDay troubled_day(const MadeStation& station, Trouble trouble);

}  // namespace drumwatch
