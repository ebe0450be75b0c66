// How is a device's line of text built, and which fields are temperatures? A guess from some lines.
//
// PURE; any thread. Every guess is tried with the daemon's own reader (drivers/links/text_line.hpp): what is
// given reads every line. Plausible is what guess_registers.hpp calls so; a whole number that rises by the
// same step from line to line is a counter.
#pragma once

#include <string>
#include <vector>

#include "drivers/bus.hpp"

namespace drumwatch {

struct TextFieldGuess {
    TextSource source;
    bool fahrenheit = false;
    double celsius = 0;  ///< of the newest line
};

struct TextGuess {
    char delimiter = ',';
    bool decimal_comma = false;
    Checksum checksum = Checksum::none;
    int fields = 0;  ///< as every line has; 0: they differ
    std::vector<TextFieldGuess> temperatures;
};

/// From whole lines, oldest first. `temperatures` is empty where none is plausible.
TextGuess guess_text(const std::vector<std::string>& lines);

/// Printable ASCII with a digit in it, as a line at the right baud rate is.
bool is_readable(const std::string& line);

}  // namespace drumwatch
