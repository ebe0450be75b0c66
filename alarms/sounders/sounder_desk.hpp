// Decides what each output plays: the order of the core thread, what happens when that falls silent, and
// tests. Not thread-safe; time is what the caller says, so that tests can step it.
//
// A signal begins anew when it changes. A new onset of the same signal plays `low` once more after it has
// ended; the repeating ones simply go on. A prompt is left out while an alarm's signal plays. Silence counts
// from the first thing that was told: a daemon that is still starting is not dead. After a silence the
// ordered signal begins anew.
//
// A test gives each output in turn a chirp; it is refused while a signal plays, and a signal that begins ends
// it.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "sounders/due.hpp"
#include "sounders/sounder_calls.hpp"
#include "sounders/sounder_config.hpp"
#include "sounders/sounder_order.hpp"
#include "sounders/sounder_player.hpp"

namespace drumwatch {

class SounderDesk {
  public:
    SounderDesk(const SounderSettings& settings, SounderCalls calls);
    ~SounderDesk();  ///< everything off, lines first; waits at most a second for each command that doesn't
                     ///< end
    SounderDesk(const SounderDesk&) = delete;
    SounderDesk& operator=(const SounderDesk&) = delete;

    /// What the core thread has told, at `told_ms`. step() must follow.
    void hear(const SounderOrder& order, std::int64_t told_ms, std::int64_t now_ms);
    /// Drives all outputs; gives when it must be called again at the latest.
    Due step(std::int64_t now_ms);

  private:
    /// A signal, and which of its playings.
    struct Playing {
        SounderSignal signal = SounderSignal::off;
        std::uint32_t number = 0;
        friend bool operator==(const Playing&, const Playing&) = default;
    };
    struct Output {
        std::string name;
        OnSilence on_silence = OnSilence::off;
        std::unique_ptr<SounderPlayer> player;
        Playing plays;
        bool works = true;
    };
    struct Testing {
        std::size_t output = 0;
        bool chirping = false;
        std::int64_t begin_at_ms = 0;
    };

    void begin(SounderSignal signal, std::int64_t now_ms);
    bool over(std::int64_t now_ms) const;
    void judge_silence(std::int64_t now_ms);
    Playing wanted(std::size_t output) const;
    Due drive(std::size_t output, std::int64_t now_ms);
    void start_tests(std::int64_t now_ms);
    void give_up_tests(const char* why);
    Due go_on_testing(std::int64_t now_ms);
    /// `passed`: nothing where it was not tried.
    void report_test(std::size_t output, std::optional<bool> passed, const std::string& sentence) const;

    SounderCalls calls_;
    std::int64_t silence_after_ms_;
    std::vector<Output> outputs_;
    SounderOrder order_;
    std::optional<std::int64_t> told_ms_;
    bool silent_ = false;
    Playing playing_;
    std::optional<std::int64_t> ends_ms_;  ///< of a signal that plays once
    bool again_ = false;                   ///< the signal that plays once has a new onset
    std::optional<Testing> testing_;
};

}  // namespace drumwatch
