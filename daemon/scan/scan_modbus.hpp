// Which units of a Modbus bus answer, and which registers they have: read by functions 3 and 4, and by
// nothing else.
//
// One thread, the caller's; every question ends within the time-out (a serial line's wire time on top).
// Registers are read in blocks; a block that is refused is read in halves, a small one word by word. A unit
// behind a gateway that answers with exception 10 or 11 is not there (MODBUS Application Protocol
// Specification V1.1b3, section 7).
#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/result.hpp"
#include "drivers/bus.hpp"
#include "drivers/links/modbus_poll.hpp"
#include "scan/guess_registers.hpp"

namespace drumwatch {

struct ScanRange {
    std::uint16_t first = 0;
    std::uint16_t last = 199;
};

class ModbusScanner {
  public:
    /// For a person who waits: what is being done.
    using Progress = std::function<void(const std::string&)>;

    /// `ended` stops it between two questions.
    ModbusScanner(const BusConfig& bus, std::chrono::milliseconds timeout, const std::atomic<bool>& ended,
                  Progress progress);

    Result<Done> open();
    void close() { transport_->close(); }
    /// Those that answer anything at all, a refusal too.
    std::vector<std::uint8_t> find_units(const std::vector<std::uint8_t>& units, std::uint16_t address);
    /// Something came that was no right answer: the line's speed or parity is wrong, or it is disturbed.
    bool heard_noise() const { return noise_; }
    /// What the unit has in that range, read once; no image for a table that has nothing.
    std::vector<RegisterImage> read(std::uint8_t unit_id, ScanRange range);
    /// The same registers once more, into `second`.
    void read_again(RegisterImage& image);
    /// Whether the unit shows these registers of another as well: a device that ignores the unit id.
    bool shows_same(std::uint8_t unit_id, const RegisterImage& image);

  private:
    using Words = std::map<std::uint16_t, std::uint16_t>;
    enum class Answer : std::uint8_t { words, refused, no_function, nothing };
    Answer ask(std::uint8_t unit_id, RegisterTable table, std::uint16_t address, std::uint16_t count,
               Words& into);
    void read_block(std::uint8_t unit_id, RegisterTable table, int first, int last, Words& into);
    void read_like(std::uint8_t unit_id, RegisterTable table, const Words& map, Words& into);

    std::chrono::milliseconds timeout_;
    const std::atomic<bool>& ended_;
    Progress progress_;
    std::unique_ptr<ModbusTransport> transport_;
    bool noise_ = false;
    int unanswered_ = 0;  ///< in a row, of a unit that had answered
};

}  // namespace drumwatch
