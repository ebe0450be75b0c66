#include "drivers/links/playback.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <chrono>
#include <optional>
#include <thread>
#include <utility>

#include "drivers/capture/capture_file.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::int64_t kLate_ms = 1000;
constexpr std::int64_t kBeforeRepeat_ms = 1000;
constexpr double kBriefWait_ms = 20;

class Playback final : public Driver {
  public:
    Playback(const BusConfig& bus, double speed) : bus_(bus), speed_(speed) {}

    Result<Done> open() override;
    PollOutcome poll() override;
    void close() override {}  // where the capture stands is kept
    Result<Done> write_coil(AllowedCoil, bool) override { return Error{"a capture has no coils"}; }

  private:
    double now_ms() const {
        return std::chrono::duration<double, std::milli>(Clock::now() - *began_).count() * speed_;
    }
    void advance();
    void begin_again();
    std::optional<CapturedPoll> due();
    Result<Done> find_channels(const CaptureHeader& header);
    Result<Done> find_inputs(const CaptureHeader& header);
    PollOutcome outcome_of(const CapturedPoll& poll) const;
    void take_inputs(const CapturedPoll& poll);
    PollOutcome down(std::string why) const;

    BusConfig bus_;
    double speed_;
    std::optional<CaptureFile> file_;
    std::vector<std::optional<std::uint8_t>> channels_;  ///< of the station, by place in the capture
    std::vector<std::size_t> inputs_;                    ///< place in the capture, by the bus's index
    std::vector<InputLevel> levels_;                     ///< as the newest poll had them
    std::optional<Clock::time_point> began_;
    std::int64_t shift_ms_ = 0;         ///< of this round's times
    std::optional<CapturedPoll> next_;  ///< its time shifted
    std::int64_t last_ms_ = 0;
    std::string over_;      ///< why nothing comes any more
    std::string down_why_;  ///< the captured link is down; empty: it is up
};

Result<Done> Playback::open() {
    if (file_) return Done{};
    auto opened = CaptureFile::open(bus_.device);
    if (!opened) return Error{opened.error()};
    if (const auto found = find_channels(opened.value().header()); !found) return found;
    if (const auto found = find_inputs(opened.value().header()); !found) return found;
    file_.emplace(std::move(opened.value()));
    began_ = Clock::now();
    advance();
    return Done{};
}

Result<Done> Playback::find_channels(const CaptureHeader& header) {
    const auto& names = header.channels;
    channels_.assign(names.size(), std::nullopt);
    for (const ChannelSource& source : bus_.channels) {
        const auto at = std::find(names.begin(), names.end(), source.captured);
        if (at == names.end())
            return Error{fmt::format("{} has no channel \"{}\"", bus_.device, source.captured)};
        channels_[static_cast<std::size_t>(at - names.begin())] = source.channel;
    }
    return Done{};
}

Result<Done> Playback::find_inputs(const CaptureHeader& header) {
    inputs_.clear();
    for (const DiscreteInput& input : bus_.discrete_inputs) {
        const auto at = std::find(header.inputs.begin(), header.inputs.end(), input);
        if (at == header.inputs.end())
            return Error{fmt::format("{} has no discrete input {} of unit {}", bus_.device, input.address,
                                     input.unit_id)};
        inputs_.push_back(static_cast<std::size_t>(at - header.inputs.begin()));
    }
    return Done{};
}

/// Reads the next poll, or why there is none.
void Playback::advance() {
    auto read = file_->next();
    if (read && !read.value() && bus_.repeat) {
        begin_again();
        read = file_->next();
        // From the last level to the first one would be a press that nobody made.
        if (read && read.value()) read.value()->inputs.clear();
    }
    next_.reset();
    if (!read) {
        over_ = read.error();
    } else if (!read.value()) {
        over_ = fmt::format("{}: the capture is over", bus_.device);
    } else {
        next_ = std::move(*read.value());
        next_->ms += shift_ms_;
        last_ms_ = next_->ms;
    }
}

void Playback::begin_again() {
    shift_ms_ = last_ms_ + kBeforeRepeat_ms;
    (void)file_->rewind();  // what fails shows when the next line is read
}

/// The oldest that is due; those that are too late are gone, but for the newest of them.
std::optional<CapturedPoll> Playback::due() {
    std::optional<CapturedPoll> found;
    const double now = now_ms();
    while (next_ && static_cast<double>(next_->ms) <= now) {
        const bool late = now - static_cast<double>(next_->ms) > static_cast<double>(kLate_ms);
        found = std::move(next_);
        advance();
        if (!late) break;
    }
    return found;
}

PollOutcome Playback::down(std::string why) const {
    PollOutcome outcome = PollOutcome::down(LinkFault::gone, std::move(why));
    outcome.talks = next_.has_value();  // it is worth trying again soon
    return outcome;
}

PollOutcome Playback::outcome_of(const CapturedPoll& poll) const {
    PollOutcome outcome{Link::up, {}, std::nullopt, poll.complaint, levels_};
    for (const CapturedReading& reading : poll.readings) {
        const auto channel = channels_[reading.place];
        if (!channel) continue;
        outcome.readings.push_back({*channel, reading.value_milli, reading.quality});
        outcome.raws.push_back(reading.raw);
        if (reading.raw.fault != LinkFault::none) outcome.count(reading.raw.fault);
    }
    return outcome;
}

void Playback::take_inputs(const CapturedPoll& poll) {
    levels_.clear();
    if (poll.inputs.empty()) return;
    for (std::size_t i = 0; i < inputs_.size(); ++i) levels_.push_back({i, poll.inputs[inputs_[i]]});
}

PollOutcome Playback::poll() {
    if (!file_) return down("not open");
    if (next_) {
        const double wait_ms = (static_cast<double>(next_->ms) - now_ms()) / speed_;
        if (wait_ms > 0 && wait_ms <= kBriefWait_ms)
            std::this_thread::sleep_for(std::chrono::duration<double, std::milli>(wait_ms));
    }
    const auto found = due();
    if (found) take_inputs(*found);
    if (found && found->link == Link::up) {
        down_why_.clear();
        return outcome_of(*found);
    }
    if (found) down_why_ = found->complaint.empty() ? "the captured link was down" : found->complaint;
    if (!next_ && !found) return down(over_);
    if (!down_why_.empty()) return down(down_why_);
    return {Link::up, {}, std::nullopt, {}, levels_};
}

}  // namespace

std::unique_ptr<Driver> make_playback(const BusConfig& bus, double speed) {
    return std::make_unique<Playback>(bus, speed);
}

}  // namespace drumwatch
