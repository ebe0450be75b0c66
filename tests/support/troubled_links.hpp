// Three links with ten channels whose devices do as a test says: an RTU line with three units, a Modbus TCP
// device, and a serial text stream with a checksum. What each channel reads is known at any time, and lies in
// a band of its own, so that a value that got into another channel, or was made up, is seen.
//
// Methods from one thread; the devices have threads of their own.
#pragma once

#include <atomic>
#include <chrono>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "support/raw_server.hpp"
#include "support/rtu_slave.hpp"
#include "support/temp_dir.hpp"
#include "support/terminal.hpp"

namespace drumwatch {

enum class Trouble : std::uint8_t {
    none,
    unplugged,
    silent,
    late,     ///< answers after their time
    bad_crc,  ///< RTU: a bit of the answer is another
    wrong_unit,
    exception,
    short_answer,
    swapped_words,   ///< RTU: the float of unit 3
    dead_unit,       ///< RTU: unit 2
    wrong_length,    ///< TCP
    wrong_question,  ///< TCP: the number of another question
    bad_checksum,    ///< text: and from here on
    junk,            ///< bytes without a line end
    field_count,
    no_numbers,
    overlong,
    drip,  ///< a byte a second
};

class TroubledLinks {
  public:
    static constexpr std::size_t kChannels = 10;
    static constexpr std::size_t kOnLine = 5;     ///< channels 0 to 4, of units 1, 1, 2, 2, 3
    static constexpr std::size_t kOnNetwork = 3;  ///< 5 to 7
    static constexpr std::size_t kOnStream = 2;   ///< 8 and 9

    explicit TroubledLinks(double speed);
    ~TroubledLinks();
    TroubledLinks(const TroubledLinks&) = delete;
    TroubledLinks& operator=(const TroubledLinks&) = delete;

    void line(Trouble trouble);
    void network(Trouble trouble) { network_trouble_ = trouble; }
    void stream(Trouble trouble);
    /// "buses" and "channels" of a configuration, with the braces left out.
    std::string configuration() const;
    static const char* name_of(std::size_t channel);
    /// Whether the channel can have read this, in °C, at whatever time.
    static bool is_own(std::size_t channel, double celsius);

  private:
    using Clock = std::chrono::steady_clock;
    int tenths(std::size_t channel) const;
    void answer_line(RtuSlave::Line& line, const Bytes& request);
    Bytes line_answer(const Bytes& request) const;
    void answer_network(RawServer::Connection& connection, const Bytes& request);
    void stream_on();
    std::string stream_line() const;
    void say(std::string_view text);
    void plug_line();
    void plug_stream();
    void pause(double simulated_ms) const;

    const double speed_;
    const Clock::time_point began_ = Clock::now();
    TempDir folder_;
    std::atomic<Trouble> line_trouble_ = Trouble::none;
    std::atomic<Trouble> network_trouble_ = Trouble::none;
    std::atomic<Trouble> stream_trouble_ = Trouble::none;
    std::atomic<bool> ends_ = false;
    std::unique_ptr<Terminal> terminal_;
    std::unique_ptr<RtuSlave> slave_;
    std::unique_ptr<RawServer> server_;
    std::thread stream_;
};

}  // namespace drumwatch
