#include "core/probe_fault.hpp"

#include <array>

namespace drumwatch {
namespace {

struct Row {
    ProbeFault fault;
    std::string_view name;
    std::string_view sentence;
    std::string_view look_first;
};

/// What to look at first: common practice, no source.
constexpr std::array<Row, kProbeFaults> kTable{{
    {ProbeFault::none, "none", "Nothing is wrong.", ""},
    {ProbeFault::stale, "stale", "No new reading has come for so long that the last one is not gone by.",
     "Does its instrument still show changing values, and does the configuration allow it the time that it "
     "takes between two readings?"},
    {ProbeFault::open_circuit, "open_circuit", "The circuit of the probe is open: no current can flow.",
     "Look at the probe, its plug and its cable: a wire that is broken where it bends or gets hot, a loose "
     "screw on a terminal."},
    {ProbeFault::out_of_span, "out_of_span", "The value lies outside what the probe can read.",
     "Are scale, type and span of the channel right? If they always were: many transmitters send their "
     "highest or lowest value for a broken probe."},
    {ProbeFault::suspect, "suspect",
     "The value jumped faster than anything in a machine is heated or cooled.",
     "Does it jump when the plug or the cable is moved, or when burner, fan or drive switch?"},
    {ProbeFault::frozen, "frozen", "The reading stands still while the machine's other probes move.",
     "Does the instrument's own display stand still too? Then switch the instrument off and on."},
    {ProbeFault::short_circuit, "short_circuit",
     "The wires touch before they reach the tip: what is read is the temperature of that place.",
     "Look where its wires may touch: in the head, in the plug and where the cable passes hot or sharp "
     "metal."},
    {ProbeFault::reversed, "reversed", "The reading falls when the machine is heated.",
     "Are the two wires of the thermocouple the wrong way round somewhere between probe and instrument? Look "
     "at the plug and at an extension cable first."},
    {ProbeFault::noisy, "noisy", "Single readings jump out and back again, as from a burner's ignition.",
     "Does its cable run beside the ignition's or a drive's, is its shield earthed, at one end only, and is "
     "the terminal's screw tight?"},
    {ProbeFault::apart_from_twin, "apart_from_twin",
     "It differs from its twin, the other probe in the same place, and nobody can tell from that which one "
     "is right.",
     "Are both as deep in and as clean as each other? Then check both in ice water or boiling water."},
}};

constexpr bool complete() {
    for (std::size_t i = 0; i < kTable.size(); ++i) {
        const Row& row = kTable[i];
        if (static_cast<std::size_t>(row.fault) != i || row.name.empty() || row.sentence.empty())
            return false;
        if (row.look_first.empty() != (row.fault == ProbeFault::none)) return false;
    }
    return static_cast<std::size_t>(ProbeFault::apart_from_twin) + 1 == kProbeFaults;
}
static_assert(complete(),
              "every fault of a probe has its row, in the order of the enumeration, with all words");

const Row& row_of(ProbeFault fault) { return kTable[static_cast<std::size_t>(fault)]; }

}  // namespace

ProbeFault fault_of(Quality quality) {
    switch (quality) {
        case Quality::stale:
            return ProbeFault::stale;
        case Quality::open_circuit:
            return ProbeFault::open_circuit;
        case Quality::out_of_span:
            return ProbeFault::out_of_span;
        case Quality::suspect:
            return ProbeFault::suspect;
        case Quality::frozen:
            return ProbeFault::frozen;
        case Quality::short_circuit:
            return ProbeFault::short_circuit;
        case Quality::reversed:
            return ProbeFault::reversed;
        case Quality::good:
        case Quality::never_read:
        case Quality::bus_silent:
        case Quality::bad_reply:
            break;
    }
    return ProbeFault::none;
}

ProbeFault fault_of(ProbeDoubt doubt) {
    switch (doubt) {
        case ProbeDoubt::noisy:
            return ProbeFault::noisy;
        case ProbeDoubt::apart_from_twin:
            return ProbeFault::apart_from_twin;
        case ProbeDoubt::none:
            break;
    }
    return ProbeFault::none;
}

std::string_view name(ProbeFault fault) { return row_of(fault).name; }
std::string_view sentence(ProbeFault fault) { return row_of(fault).sentence; }
std::string_view look_first(ProbeFault fault) { return row_of(fault).look_first; }

}  // namespace drumwatch
