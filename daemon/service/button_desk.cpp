#include "service/button_desk.hpp"

#include <spdlog/spdlog.h>

#include <utility>
#include <variant>

#include "service/button_press.hpp"

namespace drumwatch {

void ButtonDesk::pressed(std::size_t index, const std::shared_ptr<const Snapshot>& shown) {
    const ButtonConfig& button = buttons_[index];
    const auto did_nothing = [name = button.name](const std::string& why) {
        spdlog::info("button \"{}\": nothing done: {}", name, why);
    };
    if (!shown) return did_nothing("the daemon has only just started");
    auto meant = command_of(button.meaning, *shown);
    if (const auto* why = std::get_if<std::string>(&meant)) return did_nothing(*why);
    Command command = std::move(std::get<Command>(meant));
    command.who = "button " + button.name;
    desk_.take(std::move(command), [did_nothing](const CommandAnswer& answer) {
        if (answer.status >= 400) did_nothing(answer.text);
    });
}

}  // namespace drumwatch
