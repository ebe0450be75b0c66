// The sounder's signals for outputs that switch at once (a line of the box, a player), in milliseconds; a
// relay on a bus follows the coarser pattern.hpp. PURE, any thread.
//
//   high      3 + 2 pulses of 150 ms, every 3 s      prompt    one chime of 400 ms, once
//   medium    3 pulses of 200 ms, every 10 s         box_dead  one pulse of 600 ms, every 5 s
//   low       2 pulses of 200 ms, once               chirp     100 ms, once: a test of the output
//
// Groups of pulses by priority after the idea of IEC 60601-1-8 (no conformity claimed); lengths: judgement,
// no source. Why high is not 3 + 2 + 3 + 2 in 3 s: ten pulses of 150 ms leave 1500 ms for ten gaps. Gaps of
// 100 ms (shorter ones blur in a room that echoes) within groups take 600 ms, three of twice that between
// groups another 600 ms; the 300 ms that remain are no pause by which one hears where the train begins, and
// no room is left for voices.
//
// Voices: where several stations stand together, each gets a voice from 1 to 4. The voice widens one gap, the
// one before the last group (high) or the last pulse (medium, low), by 100 ms a step. Single pulses have
// none.
#pragma once

#include <cstdint>
#include <optional>

#include "core/alarm.hpp"

namespace drumwatch {

enum class SounderSignal : std::uint8_t { off, prompt, low, medium, high, box_dead, chirp };
SounderSignal signal_of(Pattern pattern);

/// An output that is switched off within a train rests so long before the next train begins, so that pulses
/// never grow together: nothing is on for longer than its longest pulse.
inline constexpr std::int64_t kRest_ms = 100;

inline constexpr int kVoices = 4;

struct PulseTrain {
    int pulses = 0;       ///< in one round
    int before_wide = 0;  ///< the wide gap follows this pulse; 0: there is none
    std::int64_t pulse_ms = 0;
    std::int64_t gap_ms = 0;
    std::int64_t wide_gap_ms = 0;
    std::int64_t period_ms = 0;  ///< from one round's beginning to the next; 0: one round only
};

/// No pulses for `off`. A voice outside 1 to kVoices counts as the nearest.
PulseTrain pulse_train(SounderSignal signal, int voice);

/// Whether it sounds `since_ms` after it began; before that it doesn't.
bool sounds(const PulseTrain& train, std::int64_t since_ms);
/// When it next changes, strictly after `since_ms`, counted from its beginning; nothing when it is over.
std::optional<std::int64_t> next_edge(const PulseTrain& train, std::int64_t since_ms);
/// The end of the last pulse of one round.
std::int64_t round_ms(const PulseTrain& train);

}  // namespace drumwatch
