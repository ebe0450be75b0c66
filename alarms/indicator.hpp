// What a coil on a bus drives: a buzzer, or a light of a stack. PURE.
//
// Colours after the idea of IEC 60073 (coding of indicators; from memory, no conformity claimed): red is
// danger, yellow a condition that is not normal, blue asks somebody to do something, white has no meaning of
// its own; what nobody has seen yet flashes, slowly and as long on as off. Which priority has which colour,
// and 1 s: judgement, no source.
#pragma once

#include <cstdint>

#include "core/snapshot.hpp"

namespace drumwatch {

enum class Indicator : std::uint8_t {
    buzzer,  ///< the pulses of pattern.hpp
    red,     ///< an alarm of high priority
    yellow,  ///< ... of medium priority
    blue,    ///< ... of low priority
    white,   ///< a prompt
};

inline constexpr std::int64_t kFlash_ms = 1'000;  ///< on, and as long off

/// The output's level at this tick. A light flashes while an alarm of its priority is not acknowledged,
/// counted from the newest such one; it is on while only acknowledged ones are there. Silencing changes no
/// light; what is put aside lights nothing.
bool lit(Indicator indicator, const Snapshot& now);

}  // namespace drumwatch
