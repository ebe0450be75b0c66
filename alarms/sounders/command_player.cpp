#include <utility>

#include "sounders/command_sounder.hpp"
#include "sounders/sounder_player.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kLookPace_ms = 50;  // how soon an ended command is seen

/// Nothing: commands don't play it.
std::optional<Priority> priority_of(SounderSignal signal) {
    switch (signal) {
        case SounderSignal::off:
        case SounderSignal::prompt:
            return std::nullopt;
        case SounderSignal::low:
        case SounderSignal::chirp:
            return Priority::low;
        case SounderSignal::medium:
            return Priority::medium;
        case SounderSignal::high:
        case SounderSignal::box_dead:
            return Priority::high;
    }
    return std::nullopt;
}

class CommandPlayer final : public SounderPlayer {
  public:
    CommandPlayer(const SounderOutput& output, std::int64_t retry_ms)
        : command_(output.command),
          sounder_(output.command, output.limit_ms, output.voice),
          retry_ms_(retry_ms) {}

    void play(SounderSignal signal, std::int64_t now_ms) override {
        wanted_ = priority_of(signal);
        period_ms_ = pulse_train(signal, 1).period_ms;
        ++signals_;
        start_at_ms_ = wanted_ ? Due(now_ms) : std::nullopt;
        const bool more_urgent = wanted_ && *wanted_ < priority_;
        if (signal == SounderSignal::off || more_urgent) sounder_.call_off(now_ms);
    }

    Due step(std::int64_t now_ms) override {
        if (const auto result = sounder_.step(now_ms)) note(*result, now_ms);
        if (start_at_ms_ && now_ms >= *start_at_ms_) begin_round(now_ms);
        if (!sounder_.running() && (!look_at_ms_ || now_ms >= *look_at_ms_) && !looked_well_) look(now_ms);
        if (sounder_.running()) return now_ms + kLookPace_ms;
        return earlier(start_at_ms_, looked_well_ ? std::nullopt : look_at_ms_);
    }

    bool playing(std::int64_t) const override { return sounder_.running() || start_at_ms_; }
    const std::string& failure() const override { return failure_; }

  private:
    void begin_round(std::int64_t now_ms) {
        const bool of_this_signal = started_for_ == signals_;
        if (sounder_.running() && !of_this_signal) return;  // it ends, or is waited for
        if (!sounder_.running()) {
            priority_ = *wanted_;
            started_for_ = signals_;
            if (const auto refused = sounder_.start(*wanted_, now_ms)) note(*refused, now_ms);
        }
        if (period_ms_ == 0) start_at_ms_.reset();
        while (start_at_ms_ && *start_at_ms_ <= now_ms) *start_at_ms_ += period_ms_;
    }

    void note(const CommandResult& result, std::int64_t now_ms) {
        if (result.failed()) failure_ = result.sentence;
        if (result.how == CommandResult::How::exited && !result.failed()) failure_.clear();
        looked_well_ = result.how != CommandResult::How::not_started;
        look_at_ms_ = now_ms + retry_ms_;
    }

    /// Long before an alarm needs it, and until it is there.
    void look(std::int64_t now_ms) {
        const Result<Done> there = look_at_command(command_);
        looked_well_ = there.ok();
        failure_ = there ? "" : there.error();
        look_at_ms_ = now_ms + retry_ms_;
    }

    std::vector<std::string> command_;
    CommandSounder sounder_;
    std::int64_t retry_ms_;
    std::string failure_;
    bool looked_well_ = false;
    Due look_at_ms_;  ///< nothing: never looked at
    std::optional<Priority> wanted_;
    Priority priority_ = Priority::low;  ///< of the run that began last
    std::int64_t period_ms_ = 0;
    Due start_at_ms_;
    int signals_ = 0;
    int started_for_ = 0;  ///< which of them the newest run was for
};

}  // namespace

std::unique_ptr<SounderPlayer> make_command_player(const SounderOutput& output, std::int64_t retry_ms) {
    return std::make_unique<CommandPlayer>(output, retry_ms);
}

}  // namespace drumwatch
