// Presses of push-buttons, on their way to the command desk as the page's taps are. Thread: core.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/snapshot.hpp"
#include "service/command_desk.hpp"

namespace drumwatch {

class ButtonDesk {
  public:
    /// `desk` must outlive it.
    ButtonDesk(const Config& config, CommandDesk& desk) : buttons_(config.buttons), desk_(desk) {}

    /// `button`: its index in the configuration. `shown`: the snapshot that was the newest when it was
    /// pressed; null before the first tick. A press that does nothing is logged with the reason.
    void pressed(std::size_t button, const std::shared_ptr<const Snapshot>& shown);

  private:
    std::vector<ButtonConfig> buttons_;
    CommandDesk& desk_;
};

}  // namespace drumwatch
