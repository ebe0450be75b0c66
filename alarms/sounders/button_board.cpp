#include "sounders/button_board.hpp"

#include <utility>

namespace drumwatch {

ButtonBoard::ButtonBoard(const SounderSettings& settings, SounderCalls calls)
    : calls_(std::move(calls)), retry_ms_(settings.retry_ms) {
    for (const ButtonInput& input : settings.buttons) {
        Button& button = buttons_.emplace_back();
        button.input = input;
    }
}

Due ButtonBoard::step(std::int64_t now_ms) {
    Due due;
    for (std::size_t i = 0; i < buttons_.size(); ++i) {
        Button& button = buttons_[i];
        if (!button.line && now_ms >= button.open_at_ms) open(i, now_ms);
        if (button.line) read(i, now_ms);
        due = earlier(due, button.line ? button.line->due_ms() : Due(button.open_at_ms));
    }
    return due;
}

void ButtonBoard::open(std::size_t index, std::int64_t now_ms) {
    Button& button = buttons_[index];
    Result<GpioButton> opened = GpioButton::open(button.input);
    button.open_at_ms = now_ms + retry_ms_;
    if (opened) button.line.emplace(std::move(opened.value()));
    report(index, opened.ok(), opened ? "" : opened.error());
}

void ButtonBoard::read(std::size_t index, std::int64_t now_ms) {
    Button& button = buttons_[index];
    const Result<int> presses = button.line->presses(now_ms);
    if (!presses) {
        button.line.reset();
        button.open_at_ms = now_ms + retry_ms_;
        return report(index, false, presses.error());
    }
    for (int i = 0; i < presses.value() && calls_.pressed; ++i)
        calls_.pressed({index, button.input.name, button.input.meaning});
}

void ButtonBoard::report(std::size_t index, bool works, const std::string& sentence) {
    Button& button = buttons_[index];
    if (works != button.works && calls_.changed)
        calls_.changed({true, index, button.input.name, works, sentence});
    button.works = works;
}

void ButtonBoard::wait_for(std::vector<pollfd>& descriptors) const {
    for (const Button& button : buttons_)
        if (button.line) descriptors.push_back({button.line->descriptor(), POLLIN, 0});
}

}  // namespace drumwatch
