// What can be wrong with a probe itself, whether its readings are still used (a doubt) or not (a quality),
// with the words for a person. What is wrong with its link is in drivers/link_fault.hpp.
//
// PURE; any thread. The table in probe_fault.cpp is complete or does not compile.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

#include "core/probe_doubt.hpp"
#include "core/quality.hpp"

namespace drumwatch {

enum class ProbeFault : std::uint8_t {
    none,
    stale,
    open_circuit,
    out_of_span,
    suspect,
    frozen,
    short_circuit,
    reversed,
    noisy,
    apart_from_twin,
};
inline constexpr std::size_t kProbeFaults = 10;

/// None where the quality is good or tells of the link: never_read, bus_silent, bad_reply.
ProbeFault fault_of(Quality quality);
ProbeFault fault_of(ProbeDoubt doubt);

/// The word of the public interface, which is that of the quality or the doubt, e.g. "short_circuit".
std::string_view name(ProbeFault fault);
/// What it is, as a sentence.
std::string_view sentence(ProbeFault fault);
/// What to look at first, as a sentence; empty for none.
std::string_view look_first(ProbeFault fault);

}  // namespace drumwatch
