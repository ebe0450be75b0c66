// Asks the kernel for one line of a GPIO chip, and says in a sentence why it was refused and what to do.
// Source: linux/gpio.h, version 2 of the interface (kernel 5.10 and newer). Blocks no longer than the
// kernel's own calls.
#pragma once

#include <cstdint>
#include <string>

#include "core/result.hpp"
#include "sounders/descriptor.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

/// How others see who uses a line.
inline constexpr const char* kGpioConsumer = "drumwatch";

struct GpioWish {
    std::uint64_t flags = 0;       ///< GPIO_V2_LINE_FLAG_..., active low comes from the place
    bool initially_off = false;    ///< outputs: the level from the first moment
    std::int64_t debounce_ms = 0;  ///< inputs: 0 for none
};

struct GpioGrant {
    Descriptor line;  ///< close-on-exec; closing it gives the line back
    bool kernel_debounces = false;
};

/// Where the kernel refuses to debounce, the line is granted without.
Result<GpioGrant> request_gpio_line(const GpioPlace& place, const GpioWish& wish);

/// "line 17 of /dev/gpiochip0".
std::string gpio_name(const GpioPlace& place);

/// The one line's level, active low reckoned in.
Result<bool> read_gpio_line(const Descriptor& line, const GpioPlace& place);

}  // namespace drumwatch
