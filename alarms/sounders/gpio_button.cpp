#include "sounders/gpio_button.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <linux/gpio.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "sounders/gpio_request.hpp"

namespace drumwatch {

namespace {

constexpr int kMostReads = 64;  // a line that nothing holds changes without end

std::uint64_t bias_flag(PullResistor bias) {
    switch (bias) {
        case PullResistor::as_is:
            return 0;
        case PullResistor::none:
            return GPIO_V2_LINE_FLAG_BIAS_DISABLED;
        case PullResistor::up:
            return GPIO_V2_LINE_FLAG_BIAS_PULL_UP;
        case PullResistor::down:
            return GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN;
    }
    return 0;
}

}  // namespace

Result<GpioButton> GpioButton::open(const ButtonInput& button) {
    GpioWish wish;
    wish.flags = GPIO_V2_LINE_FLAG_INPUT | GPIO_V2_LINE_FLAG_EDGE_RISING | GPIO_V2_LINE_FLAG_EDGE_FALLING |
                 bias_flag(button.bias);
    wish.debounce_ms = button.debounce_ms;
    Result<GpioGrant> grant = request_gpio_line(button.line, wish);
    if (!grant) return Error{grant.error()};
    const Descriptor& line = grant.value().line;
    if (::fcntl(line.number(), F_SETFL, ::fcntl(line.number(), F_GETFL) | O_NONBLOCK) != 0)
        return Error{fmt::format("cannot set {}: {}", gpio_name(button.line), std::strerror(errno))};
    const Result<bool> level = read_gpio_line(line, button.line);
    if (!level) return Error{level.error()};
    return GpioButton(button, std::move(grant.value().line), grant.value().kernel_debounces, level.value());
}

Result<int> GpioButton::presses(std::int64_t now_ms) {
    std::array<gpio_v2_line_event, 16> events;
    int pressed = 0;
    for (int reads = 0; reads < kMostReads; ++reads) {
        const ssize_t bytes = ::read(line_.number(), events.data(), sizeof events);
        if (bytes < 0 && errno == EINTR) continue;
        if (bytes < 0 && errno == EAGAIN) break;
        if (bytes <= 0)
            return Error{fmt::format("{} tells nothing more: {}", gpio_name(button_.line),
                                     bytes == 0 ? "it was closed" : std::strerror(errno))};
        const std::size_t count = static_cast<std::size_t>(bytes) / sizeof events[0];
        for (std::size_t i = 0; i < count; ++i) pressed += take(events[i]);
    }
    return debounces_here() ? pressed + settle(now_ms) : pressed;
}

/// Events may be missing before it, as the kernel's buffer loses its oldest; the newest tells the level.
int GpioButton::take(const gpio_v2_line_event& event) {
    const bool active = event.id == GPIO_V2_LINE_EVENT_RISING_EDGE;
    if (!debounces_here()) return active ? 1 : 0;
    const auto at_ms = static_cast<std::int64_t>(event.timestamp_ns / 1'000'000);
    const int pressed = settle(at_ms);
    since_ms_ = at_ms;
    level_ = active;
    return pressed;
}

/// 1 when the present level has just lasted long enough to count, and is that of a pressed button.
int GpioButton::settle(std::int64_t now_ms) {
    if (level_ == counts_ || now_ms - since_ms_ < button_.debounce_ms) return 0;
    counts_ = level_;
    return counts_ ? 1 : 0;
}

std::optional<std::int64_t> GpioButton::due_ms() const {
    if (!debounces_here() || level_ == counts_) return std::nullopt;
    return since_ms_ + button_.debounce_ms;
}

}  // namespace drumwatch
