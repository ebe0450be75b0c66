#pragma once

#include <chrono>
#include <string>

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {

/// The machine's serial face: a pseudo-terminal on which a line of text comes every so often, like an
/// indicator with a serial output: bean and exhaust temperature in degrees C with one decimal, `187.4,221.0`
/// and CR LF; an open probe is `---`. Never blocks: lines that nobody reads for a second are thrown away, so
/// that who opens it late does not get old readings.
class SerialFace {
  public:
    /// `link` may be empty; else a symbolic link to the terminal is made there and removed at the end.
    /// Throws SetupError.
    SerialFace(const std::string& link, std::int64_t period_ms);
    ~SerialFace();
    SerialFace(const SerialFace&) = delete;
    SerialFace& operator=(const SerialFace&) = delete;

    const std::string& path() const { return path_; }
    /// Writes a line when the simulated time has come for one. Call after every step.
    void follow(const Floor& floor);

  private:
    void write_line(const std::string& line);
    int master_ = -1;
    int slave_ = -1;  ///< held open, so that the terminal keeps its raw mode and outlives its readers
    std::string path_;
    std::string link_;
    std::int64_t period_ms_;
    std::int64_t next_ms_ = 0;
    int waiting_bytes_ = 0;
    std::chrono::steady_clock::time_point last_read_;
};

/// The line for these readings, line end included.
std::string serial_line(const Readings& readings);

}  // namespace drumwatch::simulator
