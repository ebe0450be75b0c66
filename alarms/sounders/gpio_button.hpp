// A push-button on an input line of the kernel's GPIO character device. Source: linux/gpio.h, version 2 of
// the interface. Not thread-safe. Errors are sentences; open again (a new object) after one.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>

#include "core/result.hpp"
#include "sounders/descriptor.hpp"
#include "sounders/sounder_config.hpp"

struct gpio_v2_line_event;

namespace drumwatch {

/// Presses only: the line becomes active (active low reckoned in). A button that is held down at the opening
/// was not pressed. Debounced by the kernel, or here where the kernel refuses to: a level counts once it has
/// lasted for `debounce_ms`.
class GpioButton {
  public:
    static Result<GpioButton> open(const ButtonInput& button);

    /// To wait for: readable once the line has changed. Non-blocking, close-on-exec.
    int descriptor() const { return line_.number(); }
    /// How often the button was pressed since the call before; does not wait. `now_ms`: CLOCK_MONOTONIC, with
    /// which the kernel stamps its events.
    Result<int> presses(std::int64_t now_ms);
    /// When presses() must be called although nothing is readable: then a level will have lasted long enough.
    std::optional<std::int64_t> due_ms() const;
    bool kernel_debounces() const { return kernel_debounces_; }

  private:
    GpioButton(ButtonInput button, Descriptor line, bool kernel_debounces, bool level)
        : button_(std::move(button)),
          line_(std::move(line)),
          kernel_debounces_(kernel_debounces),
          level_(level),
          counts_(level) {}
    bool debounces_here() const { return !kernel_debounces_ && button_.debounce_ms > 0; }
    int take(const gpio_v2_line_event& event);
    int settle(std::int64_t now_ms);

    ButtonInput button_;
    Descriptor line_;
    bool kernel_debounces_ = false;
    // For debouncing here:
    bool level_ = false;   ///< as last heard
    bool counts_ = false;  ///< as last lasted long enough
    std::int64_t since_ms_ = 0;
};

}  // namespace drumwatch
