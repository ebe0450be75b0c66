#include "service/sounder_room.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <utility>

namespace drumwatch {

SounderRoom::SounderRoom(const Config& config, BusRoom& buses, const Clock& clock, BusRoom::Post post,
                         Pressed pressed)
    : buses_(buses),
      clock_(clock),
      post_(std::move(post)),
      configs_(config.sounders),
      schedule_(config.sounder_test_at, config.chirp_at_start && !config.sounders.empty()),
      keeps_days_(!config.sounders.empty() && !(config.simulated && config.simulated->stepped)),
      chimes_prompts_(config.chime_prompts) {
    for (const SounderConfig& sounder : configs_) sounders_.emplace_back().config = &sounder;
    start_thread(config, std::move(pressed));
}

void SounderRoom::start_thread(const Config& config, Pressed pressed) {
    SounderSettings settings;
    for (std::size_t i = 0; i < configs_.size(); ++i) {
        if (configs_[i].coil) continue;
        settings.outputs.push_back(configs_[i].output);
        outputs_.push_back(i);
    }
    for (std::size_t i = 0; i < config.buttons.size(); ++i) {
        if (config.buttons[i].bus) continue;
        settings.buttons.push_back(config.buttons[i].line);
        inputs_.push_back(i);
    }
    button_faults_.resize(inputs_.size());
    if (settings.outputs.empty() && settings.buttons.empty()) return;
    SounderCalls calls;
    calls.changed = [this](const SounderNews& news) { post_([this, news] { note(news); }); };
    calls.tested = [this](const SounderTest& test) { post_([this, test] { note(test); }); };
    calls.pressed = [inputs = inputs_, pressed = std::move(pressed)](const ButtonPress& press) {
        pressed(inputs[press.button]);
    };
    thread_ = std::make_unique<SounderThread>(settings, calls);
}

void SounderRoom::note(const SounderNews& news) {
    if (news.is_button) {
        button_faults_[news.index] = news.works ? "" : fmt::format("button {}: {}", news.name, news.sentence);
        spdlog::info("the button \"{}\" {}", news.name,
                     news.works ? "can be read again" : "can't be read: " + news.sentence);
        return;
    }
    Sounder& sounder = sounders_[outputs_[news.index]];
    sounder.fault = news.works ? "" : news.sentence;
    if (news.works) sounder.not_passed.clear();
}

void SounderRoom::note(const SounderTest& test) {
    if (!test.tried) {
        spdlog::info("the sounder \"{}\" was {}", test.name, test.sentence);
        return;
    }
    finish_test(outputs_[test.output], test.passed, test.sentence);
}

void SounderRoom::finish_test(std::size_t index, bool passed, const std::string& why) {
    Sounder& sounder = sounders_[index];
    sounder.tested_at = clock_.wall();
    sounder.not_passed = passed ? "" : why;
    results_.emplace_back(index, passed);
}

std::vector<Observation> SounderRoom::judge(Tick now) {
    std::vector<Observation> changes;
    for (std::size_t i = 0; i < sounders_.size(); ++i) {
        // Whatever its test met: what was written last has arrived.
        if (configs_[i].coil && tests_.sounder() != i && buses_.confirmed(i)) sounders_[i].not_passed.clear();
        const bool failed = !why(i).empty();
        if (failed == ((told_failed_ >> i & 1U) != 0)) continue;
        told_failed_ ^= 1U << i;
        changes.push_back({now, Health::sounder_failed, static_cast<std::uint8_t>(i), failed});
    }
    for (const auto& [sounder, passed] : std::exchange(results_, {}))
        changes.push_back({now, Health::sounder_tested, static_cast<std::uint8_t>(sounder), !passed});
    return changes;
}

std::string SounderRoom::why(std::size_t index) const {
    const Sounder& sounder = sounders_[index];
    const std::string& fault = sounder.config->coil ? buses_.coil_fault(index) : sounder.fault;
    return fault.empty() ? sounder.not_passed : fault;
}

std::string SounderRoom::fault_of(const Event& event) const {
    const bool of_sounder =
        event.kind == EventKind::health_changed &&
        (event.health == Health::sounder_failed || event.health == Health::sounder_tested);
    const auto index = static_cast<std::size_t>(event.index);
    return of_sounder && index < sounders_.size() ? why(index) : "";
}

void SounderRoom::drive(const Snapshot& now) {
    for (const AlarmView& alarm : now.alarms)
        onset_ = std::max(onset_, static_cast<std::uint32_t>(alarm.occurrence));
    if (thread_) thread_->tell(now.sounder.pattern, onset_);
    if (thread_ && chimes_prompts_ && chimes_.look(now)) thread_->prompt();
    look_at_schedule(now);
    go_on_testing(now);
    std::uint32_t lit_now = 0;
    for (std::size_t i = 0; i < configs_.size(); ++i) {
        const bool tested = tests_.sounder() == i;
        if (configs_[i].coil && (tested ? tests_.level() : lit(configs_[i].what, now))) lit_now |= 1U << i;
    }
    buses_.drive(now.tick, lit_now);
}

void SounderRoom::look_at_schedule(const Snapshot& now) {
    const bool busy = now.roast.has_value() || now.cooling.has_value();
    const bool sounding = now.sounder.pattern != Pattern::off;
    switch (schedule_.look(keeps_days_ ? clock_.wall() : WallTime{}, busy, sounding)) {
        case SounderSchedule::Now::nothing:
            return;
        case SounderSchedule::Now::test:
            return begin_tests(now.tick);
        case SounderSchedule::Now::left_out:
            spdlog::info("the daily test of the sounders is left out: {}",
                         sounding ? "an alarm sounds" : "a batch is in the drum or the tray");
            return;
    }
}

CommandAnswer SounderRoom::test(const Snapshot& now, const std::string& who) {
    if (configs_.empty()) return {409, true, "no sounder is configured"};
    if (now.sounder.pattern != Pattern::off)
        return {409, true, "an alarm sounds: acknowledge or silence it first"};
    begin_tests(now.tick);
    spdlog::info("the sounders are tested, as asked by {}", who.empty() ? "somebody" : who);
    return {200, true, "the sounders are tested one after the other: the status says how each did"};
}

void SounderRoom::begin_tests(Tick now) {
    if (tests_.running()) return;
    std::vector<std::size_t> coils;
    for (std::size_t i = 0; i < configs_.size(); ++i)
        if (configs_[i].coil) coils.push_back(i);
    thread_waits_ = !outputs_.empty();
    tests_.begin(std::move(coils), now);
}

void SounderRoom::go_on_testing(const Snapshot& now) {
    if (now.sounder.pattern != Pattern::off && (tests_.running() || thread_waits_)) {
        spdlog::info("the sounders' test was broken off: an alarm began");
        tests_.give_up();
        thread_waits_ = false;
    }
    const auto confirmed = [this](std::size_t sounder) { return buses_.confirmed(sounder); };
    if (const auto result = tests_.step(now.tick, confirmed)) {
        const std::string fault = buses_.coil_fault(result->sounder);
        finish_test(result->sounder, result->passed, fault.empty() ? "its coil was not confirmed" : fault);
    }
    if (!thread_waits_ || tests_.running()) return;
    thread_waits_ = false;
    thread_->test();
}

std::vector<SounderState> SounderRoom::states() const {
    std::vector<SounderState> states;
    for (std::size_t i = 0; i < sounders_.size(); ++i) {
        const SounderConfig& config = configs_[i];
        const std::string fault = why(i);
        states.push_back(
            {config.name, std::string(kind_name(config)), fault.empty(), fault, sounders_[i].tested_at});
    }
    return states;
}

std::vector<std::string> SounderRoom::complaints() const {
    std::vector<std::string> sentences;
    std::copy_if(button_faults_.begin(), button_faults_.end(), std::back_inserter(sentences),
                 [](const std::string& sentence) { return !sentence.empty(); });
    return sentences;
}

}  // namespace drumwatch
