// Which registers of a device hold temperatures? A guess from two reads, seconds apart.
//
// PURE; any thread. Every type, word order and scale that stands in `forms` is tried at every address. A
// value is plausible from 5 °C (a cold roastery) to 600 °C, must not jump between the reads, and must not be
// part of a sequence or of a fill pattern. The simplest explanation wins: whole numbers of tenths before
// whole degrees, hundredths and 32 bits; a float whose exponent is that of a temperature is strong evidence,
// for one in seventy of random register pairs has it. A value that moves a little is likelier measured; one
// that stands still on a round number is likelier a setting. All of this is judgement, no source; which probe
// is which, nobody can tell but by warming the tips.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "drivers/bus.hpp"

namespace drumwatch {

/// What one table of one unit held, by address.
struct RegisterImage {
    std::uint8_t unit_id = 1;
    RegisterTable table = RegisterTable::input;
    std::map<std::uint16_t, std::uint16_t> first;   ///< of the first read
    std::map<std::uint16_t, std::uint16_t> second;  ///< of the second; an address may be missing
};

/// How registers may be read.
struct RegisterForm {
    DataType type = DataType::int16;
    WordOrder order = WordOrder::abcd;
    double scale = 1;
    bool fahrenheit = false;
};

struct RegisterGuess {
    std::uint8_t unit_id = 1;
    RegisterTable table = RegisterTable::input;
    std::uint16_t address = 0;
    RegisterForm form;
    double before_c = 0;  ///< of the first read
    double celsius = 0;   ///< of the newest one
    int points = 0;       ///< the more, the likelier; means something beside other guesses only
    bool moved = false;   ///< between the reads
    /// The same number stands in another type at a likelier place: one probe, shown twice.
    bool shown_before = false;
    /// Other readings of the same registers that can't be ruled out, the likeliest first.
    std::vector<RegisterGuess> others{};
};

inline constexpr double kPlausibleLow_c = 5;
inline constexpr double kPlausibleHigh_c = 600;
inline constexpr double kSteadyWithin_c = 20;  ///< between two reads seconds apart

inline constexpr double kHotHigh_c = 1000;  ///< for a register that is built as a likelier one and moves

/// The likeliest first; no two share a register. A device sends one unit: where °C is likelier anywhere,
/// nothing is taken for °F.
std::vector<RegisterGuess> guess_registers(const std::vector<RegisterImage>& images);

/// Whether it is likely enough to stand in a configuration that nobody has edited: it moves, or it is an
/// input register that is no doubtful form.
bool is_likely(const RegisterGuess& guess);

/// "int16, scale 0.1, °C", "float32 CDAB, °C".
std::string words(const RegisterForm& form);

}  // namespace drumwatch
