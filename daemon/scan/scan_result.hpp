// What a scan found, said to a person and as a configuration. PURE; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scan/guess_registers.hpp"
#include "scan/guess_text.hpp"

namespace drumwatch {

struct ScanResult {
    BusConfig bus;  ///< kind, place and line; its channels are left empty
    // Modbus:
    std::vector<std::uint8_t> units;          ///< that answer
    std::vector<std::uint8_t> same_as_first;  ///< of those: show the registers of the first
    std::vector<RegisterImage> images;
    std::vector<RegisterGuess> guesses;
    // Text:
    std::string newest_line;
    std::optional<TextGuess> text;

    std::size_t temperatures() const { return text ? text->temperatures.size() : guesses.size(); }
    /// What goes into a configuration: the likely ones, or all where none is; each probe once.
    std::vector<RegisterGuess> chosen() const;
};

/// Lines for a person; each begins with "// " so that the whole can stand in a configuration file.
std::string scan_report(const ScanResult& result);
/// One JSON object; its keys are those of drumwatch(1).
std::string scan_json(const ScanResult& result);
/// The lists "buses" and "channels" of a configuration, as FirstAnswers (config/first_config.hpp) takes them;
/// the first guess is the bean probe. Empty channels where nothing is plausible.
std::string scan_bus(const ScanResult& result);
std::string scan_channels(const ScanResult& result);
/// A whole configuration, which `drumwatch check` accepts; empty where nothing is plausible.
std::string scan_configuration(const ScanResult& result);

}  // namespace drumwatch
