// A made chip in a folder of the test's own, and the time that it and the code under test are told.
#pragma once

#include "sounders/sounder_config.hpp"
#include "support/made_gpio_chip.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {

struct MadeChip {
    std::int64_t now_ms = 1'000'000;
    TempDir folder;
    std::string path = folder.file("gpiochip7");
    MadeGpioChip chip{path, "made-expander", 16, [this] { return now_ms; }};

    GpioPlace line(std::uint32_t offset, bool active_low = false) const { return {path, offset, active_low}; }
};

}  // namespace drumwatch
