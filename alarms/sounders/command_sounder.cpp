#include "sounders/command_sounder.hpp"

#include <fmt/format.h>

#include <chrono>
#include <csignal>
#include <cstring>
#include <thread>
#include <utility>

namespace drumwatch {

namespace {

std::vector<std::string> filled_in(std::vector<std::string> command, Priority priority, int voice) {
    for (std::string& argument : command) {
        if (argument == "{priority}") argument = name(priority);
        if (argument == "{voice}") argument = std::to_string(voice);
    }
    return command;
}

std::string with_words(std::string sentence, const std::string& words) {
    return words.empty() ? sentence : fmt::format("{}: {}", sentence, words);
}

}  // namespace

CommandSounder::CommandSounder(std::vector<std::string> command, std::int64_t limit_ms, int voice)
    : command_(std::move(command)), limit_ms_(limit_ms), voice_(voice) {}

CommandSounder::~CommandSounder() {
    using Clock = std::chrono::steady_clock;
    if (!process_) return;
    if (!asked_to_end_ms_) process_->signal_group(SIGTERM);
    const auto deadline = Clock::now() + std::chrono::milliseconds(kGrace_ms);
    while (!process_->end() && Clock::now() < deadline)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
}

std::optional<CommandResult> CommandSounder::start(Priority priority, std::int64_t now_ms) {
    auto started = CommandProcess::start(filled_in(command_, priority, voice_));
    if (!started) return CommandResult{CommandResult::How::not_started, 0, started.error()};
    process_ = std::move(started.value());
    began_ms_ = now_ms;
    asked_to_end_ms_.reset();
    over_limit_ = false;
    return std::nullopt;
}

void CommandSounder::call_off(std::int64_t now_ms) {
    if (!process_ || asked_to_end_ms_) return;
    process_->signal_group(SIGTERM);
    asked_to_end_ms_ = now_ms;
}

std::optional<CommandResult> CommandSounder::step(std::int64_t now_ms) {
    if (!process_) return std::nullopt;
    if (const auto end = process_->end()) {
        const std::string words = process_->last_words();
        process_.reset();
        return judge(*end, words);
    }
    if (!asked_to_end_ms_ && now_ms - began_ms_ >= limit_ms_) {
        over_limit_ = true;
        call_off(now_ms);
    }
    if (asked_to_end_ms_ && now_ms - *asked_to_end_ms_ >= kGrace_ms) process_->signal_group(SIGKILL);
    return std::nullopt;
}

CommandResult CommandSounder::judge(CommandProcess::End end, const std::string& words) const {
    using How = CommandResult::How;
    const std::string& program = command_[0];
    if (over_limit_)
        return {How::limit, end.code,
                with_words(fmt::format("{} took longer than its limit of {} s and was ended", program,
                                       static_cast<double>(limit_ms_) / 1000),
                           words)};
    if (asked_to_end_ms_) return {How::called_off, end.code, {}};
    if (end.by_signal)
        return {
            How::signalled, end.code,
            with_words(fmt::format("{} was ended by a signal ({})", program, ::strsignal(end.code)), words)};
    if (end.code != 0)
        return {How::exited, end.code,
                with_words(fmt::format("{} failed with status {}", program, end.code), words)};
    return {How::exited, 0, {}};
}

}  // namespace drumwatch
