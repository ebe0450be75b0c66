// A test of sounders that are coils: one after the other on for a pulse and off again, each write confirmed
// by its device. Pure, in the station's time; whether it was heard or seen only a person can say.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "core/tick.hpp"

namespace drumwatch {

class CoilTests {
  public:
    static constexpr std::int64_t kPatience_ms = 3'000;  ///< for one write
    static constexpr std::int64_t kBetween_ms = 500;     ///< so that a person hears one after the other

    struct Result {
        std::size_t sounder = 0;
        bool passed = false;
    };
    /// The level that a sounder's coil is known to have.
    using Confirmed = std::function<std::optional<bool>(std::size_t sounder)>;

    void begin(std::vector<std::size_t> sounders, Tick now);
    bool running() const { return !waiting_.empty(); }
    void give_up() { waiting_.clear(); }
    /// At every tick; gives what has ended.
    std::optional<Result> step(Tick now, const Confirmed& confirmed);
    /// What the coil under test must be now; nothing: none is.
    std::optional<std::size_t> sounder() const;
    bool level() const { return phase_ == Phase::on; }

  private:
    enum class Phase : std::uint8_t { rest, on, off };

    void enter(Phase phase, Tick now);
    std::optional<Result> end(bool passed, Tick now);

    std::vector<std::size_t> waiting_;  ///< the one under test first
    Phase phase_ = Phase::rest;
    Tick since_;
    bool was_on_ = false;
};

}  // namespace drumwatch
