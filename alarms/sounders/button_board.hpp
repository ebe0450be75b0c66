// All buttons: opened, opened again every so often where that failed, and read. Not thread-safe; never waits.
#pragma once

#include <poll.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sounders/due.hpp"
#include "sounders/gpio_button.hpp"
#include "sounders/sounder_calls.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

class ButtonBoard {
  public:
    ButtonBoard(const SounderSettings& settings, SounderCalls calls);

    /// `now_ms`: CLOCK_MONOTONIC. Gives when it must be called again even if nothing is readable.
    Due step(std::int64_t now_ms);
    /// Adds what to wait for.
    void wait_for(std::vector<pollfd>& descriptors) const;

  private:
    struct Button {
        ButtonInput input;
        std::optional<GpioButton> line;
        std::int64_t open_at_ms = 0;
        bool works = true;
    };

    void read(std::size_t index, std::int64_t now_ms);
    void open(std::size_t index, std::int64_t now_ms);
    void report(std::size_t index, bool works, const std::string& sentence);

    SounderCalls calls_;
    std::int64_t retry_ms_;
    std::vector<Button> buttons_;
};

}  // namespace drumwatch
