#include <algorithm>
#include <optional>
#include <utility>

#include "sounders/gpio_line.hpp"
#include "sounders/sounder_player.hpp"

namespace drumwatch {

namespace {

class LinePlayer final : public SounderPlayer {
  public:
    LinePlayer(GpioPlace place, int voice, std::int64_t retry_ms)
        : place_(std::move(place)), voice_(voice), retry_ms_(retry_ms) {}

    void play(SounderSignal signal, std::int64_t now_ms) override {
        train_ = pulse_train(signal, voice_);
        if (on_) switch_to(false, now_ms);
        began_ms_ = std::max(now_ms, rest_until_ms_);
        if (!line_ && signal != SounderSignal::off) open_at_ms_ = now_ms;
    }

    Due step(std::int64_t now_ms) override {
        if (!line_ && (!open_at_ms_ || now_ms >= *open_at_ms_)) open(now_ms);
        const bool wanted = sounds(train_, now_ms - began_ms_);
        if (line_ && wanted != on_) switch_to(wanted, now_ms);
        Due due = next_edge(train_, now_ms - began_ms_);
        if (due) *due += began_ms_;
        return line_ ? due : earlier(due, open_at_ms_);
    }

    bool playing(std::int64_t now_ms) const override {
        return on_ || next_edge(train_, now_ms - began_ms_).has_value();
    }

    const std::string& failure() const override { return failure_; }

  private:
    void open(std::int64_t now_ms) {
        Result<GpioOutput> opened = GpioOutput::open(place_);
        if (!opened) return fail(opened.error(), now_ms + retry_ms_);
        line_.emplace(std::move(opened.value()));
        failure_.clear();
    }

    void switch_to(bool on, std::int64_t now_ms) {
        const Result<Done> done = line_->set(on);
        if (!on) rest_until_ms_ = now_ms + kRest_ms;
        // A line that may hang on is opened anew soon: that sets it off.
        if (!done) return fail(done.error(), now_ms + (on ? retry_ms_ : kRest_ms));
        on_ = on;
    }

    void fail(const std::string& why, std::int64_t open_at_ms) {
        failure_ = why;
        line_.reset();
        on_ = false;
        open_at_ms_ = open_at_ms;
    }

    GpioPlace place_;
    int voice_;
    std::int64_t retry_ms_;
    std::optional<GpioOutput> line_;
    Due open_at_ms_;  ///< nothing: never tried
    bool on_ = false;
    std::string failure_;
    PulseTrain train_;
    std::int64_t began_ms_ = 0;
    std::int64_t rest_until_ms_ = 0;
};

}  // namespace

std::unique_ptr<SounderPlayer> make_line_player(const SounderOutput& output, std::int64_t retry_ms) {
    return std::make_unique<LinePlayer>(output.line, output.voice, retry_ms);
}

}  // namespace drumwatch
