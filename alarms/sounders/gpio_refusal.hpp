// Sentences for what can go wrong with a GPIO chip: what is the matter and what to do.
#pragma once

#include <cstdint>
#include <string>

#include "core/result.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

/// The chip's device could not be opened.
Error chip_not_opened(const std::string& chip, int error);
/// It opened, but does not answer as a chip.
Error no_gpio_chip(const std::string& chip, int error);
Error no_such_line(const GpioPlace& place, const std::string& label, std::uint32_t lines);
/// `consumer` may be empty: whoever uses the line need not say.
Error line_in_use(const GpioPlace& place, const std::string& label, const std::string& consumer);
Error line_refused(const GpioPlace& place, const std::string& label, int error);

}  // namespace drumwatch
