// What sounders and buttons of a box are, as the configuration states it: plain data, shared by the
// configuration and the sounder thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace drumwatch {

/// A line of one of the kernel's GPIO chips.
struct GpioPlace {
    std::string chip;          ///< e.g. /dev/gpiochip0
    std::uint32_t offset = 0;  ///< the line's number on the chip
    bool active_low = false;   ///< on (or pressed) is the low level
    friend bool operator==(const GpioPlace&, const GpioPlace&) = default;
};

enum class SounderKind : std::uint8_t { gpio, command };

/// What an output does when the core has said nothing for a while.
enum class OnSilence : std::uint8_t { off, box_dead };

struct SounderOutput {
    std::string name;  ///< of the site's choice, in sentences
    SounderKind kind = SounderKind::gpio;
    GpioPlace line;  ///< gpio
    /// command: the program by its whole path, then its arguments; no shell. An argument that is exactly
    /// `{priority}` becomes high, medium or low, one that is `{voice}` the voice.
    std::vector<std::string> command;
    std::int64_t limit_ms = 10'000;  ///< command: a player that takes longer is ended
    int voice = 1;                   ///< 1 to 4, see alarms/pulse_train.hpp
    OnSilence on_silence = OnSilence::off;
    friend bool operator==(const SounderOutput&, const SounderOutput&) = default;
};

enum class PullResistor : std::uint8_t { as_is, none, up, down };

enum class ButtonMeaning : std::uint8_t { acknowledge, silence, next_mark, move_done };

struct ButtonInput {
    std::string name;
    GpioPlace line;
    PullResistor bias = PullResistor::as_is;
    std::int64_t debounce_ms = 20;  ///< a level counts once it has lasted so long; 0: at once
    ButtonMeaning meaning = ButtonMeaning::acknowledge;
    friend bool operator==(const ButtonInput&, const ButtonInput&) = default;
};

struct SounderSettings {
    std::vector<SounderOutput> outputs;
    std::vector<ButtonInput> buttons;
    std::int64_t silence_after_ms = 3'000;
    std::int64_t retry_ms = 5'000;  ///< an output or button that failed is tried again so often
    friend bool operator==(const SounderSettings&, const SounderSettings&) = default;
};

}  // namespace drumwatch
