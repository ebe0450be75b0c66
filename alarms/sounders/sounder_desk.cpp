#include "sounders/sounder_desk.hpp"

#include <utility>

namespace drumwatch {

namespace {

constexpr std::int64_t kBetweenTests_ms = 500;  // so that a person hears one after the other
constexpr std::int64_t kBackPace_ms = 200;      // how soon it is seen that a silent core is back

}  // namespace

SounderDesk::SounderDesk(const SounderSettings& settings, SounderCalls calls)
    : calls_(std::move(calls)), silence_after_ms_(settings.silence_after_ms) {
    for (const SounderOutput& output : settings.outputs) {
        auto player = output.kind == SounderKind::gpio ? make_line_player(output, settings.retry_ms)
                                                       : make_command_player(output, settings.retry_ms);
        outputs_.push_back({output.name, output.on_silence, std::move(player), {}, true});
    }
}

SounderDesk::~SounderDesk() {
    // Lines are off at once; commands are asked to end before the first of them is waited for.
    for (Output& output : outputs_) output.player->play(SounderSignal::off, told_ms_.value_or(0));
}

void SounderDesk::hear(const SounderOrder& order, std::int64_t told_ms, std::int64_t now_ms) {
    told_ms_ = told_ms;
    const SounderOrder before = std::exchange(order_, order);
    if (order.signal != before.signal)
        begin(order.signal, now_ms);
    else if (order.onset != before.onset)
        again_ = true;
    if (order.prompts != before.prompts && over(now_ms)) begin(SounderSignal::prompt, now_ms);
    if (order.tests != before.tests) start_tests(now_ms);
}

void SounderDesk::begin(SounderSignal signal, std::int64_t now_ms) {
    if (signal != SounderSignal::off) give_up_tests("not tested: a signal began");
    playing_ = {signal, playing_.number + 1};
    again_ = false;
    const PulseTrain train = pulse_train(signal, kVoices);
    ends_ms_ = train.period_ms > 0 ? std::nullopt : std::optional(now_ms + round_ms(train) + 2 * kRest_ms);
}

/// Nothing of a signal is to come any more.
bool SounderDesk::over(std::int64_t now_ms) const {
    return playing_.signal == SounderSignal::off || (ends_ms_ && *ends_ms_ <= now_ms);
}

void SounderDesk::judge_silence(std::int64_t now_ms) {
    const bool silent = told_ms_ && now_ms - *told_ms_ >= silence_after_ms_;
    if (silent && !silent_) give_up_tests("not tested: the daemon stood still");
    if (!silent && silent_) begin(order_.signal, now_ms);
    silent_ = silent;
}

SounderDesk::Playing SounderDesk::wanted(std::size_t output) const {
    if (silent_ && outputs_[output].on_silence == OnSilence::box_dead) return {SounderSignal::box_dead, 0};
    if (silent_) return {};
    if (testing_ && testing_->chirping && testing_->output == output)
        return {SounderSignal::chirp, playing_.number};
    return playing_;
}

Due SounderDesk::drive(std::size_t index, std::int64_t now_ms) {
    Output& output = outputs_[index];
    if (const Playing plays = wanted(index); plays != output.plays) {
        output.plays = plays;
        output.player->play(plays.signal, now_ms);
    }
    const Due due = output.player->step(now_ms);
    const bool works = output.player->failure().empty();
    if (works != output.works && calls_.changed)
        calls_.changed({false, index, output.name, works, output.player->failure()});
    output.works = works;
    return due;
}

Due SounderDesk::step(std::int64_t now_ms) {
    judge_silence(now_ms);
    if (again_ && over(now_ms)) begin(order_.signal, now_ms);
    Due due = go_on_testing(now_ms);
    for (std::size_t i = 0; i < outputs_.size(); ++i) due = earlier(due, drive(i, now_ms));
    // A test that is over by what the outputs just did is looked at again at once.
    if (testing_ && testing_->chirping && !outputs_[testing_->output].player->playing(now_ms)) due = now_ms;
    if (again_) due = earlier(due, ends_ms_);
    if (told_ms_) due = earlier(due, silent_ ? now_ms + kBackPace_ms : *told_ms_ + silence_after_ms_);
    return due;
}

void SounderDesk::start_tests(std::int64_t now_ms) {
    if (testing_) return;
    testing_ = Testing{0, false, now_ms};
    if (!over(now_ms)) return give_up_tests("not tested: a signal is playing");
    begin(SounderSignal::off, now_ms);  // what has played once must not play again after the chirp
}

void SounderDesk::give_up_tests(const char* why) {
    if (!testing_) return;
    for (std::size_t i = testing_->output; i < outputs_.size(); ++i) report_test(i, std::nullopt, why);
    testing_.reset();
}

Due SounderDesk::go_on_testing(std::int64_t now_ms) {
    if (!testing_) return std::nullopt;
    if (testing_->chirping && !outputs_[testing_->output].player->playing(now_ms)) {
        const std::string& failure = outputs_[testing_->output].player->failure();
        report_test(testing_->output, failure.empty(), failure);
        testing_ = Testing{testing_->output + 1, false, now_ms + kBetweenTests_ms};
    }
    if (testing_->output >= outputs_.size()) {
        testing_.reset();
        return std::nullopt;
    }
    testing_->chirping = testing_->chirping || now_ms >= testing_->begin_at_ms;
    return testing_->chirping ? std::nullopt : Due(testing_->begin_at_ms);
}

void SounderDesk::report_test(std::size_t output, std::optional<bool> passed,
                              const std::string& sentence) const {
    if (calls_.tested)
        calls_.tested({output, outputs_[output].name, passed.has_value(), passed.value_or(false), sentence});
}

}  // namespace drumwatch
