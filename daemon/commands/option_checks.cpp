#include "commands/option_checks.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

namespace drumwatch {

CLI::Validator number_between(double low, double high, const std::string& unit) {
    const std::string range = fmt::format("{:g} to {:g}{}{}", low, high, unit.empty() ? "" : " ", unit);
    const auto complaint = [low, high, range](std::string& text) {
        double value = 0;
        const bool number = CLI::detail::lexical_cast(text, value);
        // A comparison with nan is false.
        if (number && value >= low && value <= high) return std::string();
        return fmt::format("\"{}\" is no number of {}, with a point before the decimals", text, range);
    };
    return CLI::Validator(complaint, range);
}

CLI::Validator readable_name() {
    return CLI::Validator(
        [](std::string& text) {
            const bool blank = text.find_first_not_of(" \t\n") == std::string::npos;
            return blank ? std::string("a name is needed, not blanks") : std::string();
        },
        "");
}

}  // namespace drumwatch
